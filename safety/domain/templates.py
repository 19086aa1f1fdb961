"""Sentences with places for facts and for values of the pack.

``{task.work_height_m}`` becomes "2.7 m"; ``{pack:falls.statement_height}`` becomes
"more than 2 m" and ``{value:falls.statement_height}`` "2 m". Nothing else in braces is
allowed, and nothing is evaluated.
"""

import re
from collections.abc import Callable
from dataclasses import dataclass

from safety.domain.bands import UNCOUNTED, counted
from safety.domain.conditions import FactValue, Setting
from safety.domain.fact_names import unit_of
from safety.domain.wording import listed, shown, shown_number

_PLACE = re.compile(r"\{([^{}]*)\}")
_RULES = ("pack:", "value:")


@dataclass(frozen=True, slots=True)
class Template:
    """A sentence with places in braces."""

    text: str

    def places(self) -> tuple[str, ...]:
        """What stands in braces: names of facts, or "pack:" and a key."""
        return tuple(_PLACE.findall(self.text))

    def facts(self) -> tuple[str, ...]:
        """Names of the facts it shows."""
        return tuple(p for p in self.places() if not p.startswith(_RULES))

    def pack_keys(self) -> tuple[str, ...]:
        """Keys of the pack values it shows."""
        places = self.places()
        return tuple(p.partition(":")[2] for p in places if p.startswith(_RULES))

    def filled(self, setting: Setting) -> str:
        """The sentence with every place filled in."""
        return self._with(setting, lambda _, value: value)

    def counting(self, setting: Setting) -> str:
        """The sentence as it counts for a signature: figures by their steps."""
        return self._with(setting, counted)

    def says_nothing(self, setting: Setting) -> bool:
        """Whether it would show a fact that nobody has found out."""
        return any(setting.facts.get(fact) is None for fact in self.facts())

    def _with(self, setting: Setting, seen_as: "_SeenAs") -> str:
        return _PLACE.sub(lambda found: _fill(found[1], setting, seen_as), self.text)

    def is_plain(self) -> bool:
        """Whether every brace belongs to a place."""
        rest = _PLACE.sub("", self.text)
        return "{" not in rest and "}" not in rest


_SeenAs = Callable[[str, FactValue], FactValue]


def _fill(place: str, setting: Setting, seen_as: _SeenAs) -> str:
    if place.startswith(_RULES):
        how, _, key = place.partition(":")
        return _fill_rule(how, key, setting)
    value = seen_as(place, setting.facts.get(place))
    if isinstance(value, frozenset):
        return listed(sorted(word.replace("_", " ") for word in value))
    return value if value == UNCOUNTED else shown(value, unit_of(place))


def _fill_rule(how: str, key: str, setting: Setting) -> str:
    rule = setting.pack.find(key, setting.on)
    if rule is None:
        return "no figure set here"
    if how == "value" and isinstance(rule.value, float):
        return shown_number(rule.value, rule.unit)
    return rule.quoted()
