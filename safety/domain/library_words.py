"""The hazard library in plain words: conditions, sources, and parts of a hazard."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any

from jobs.domain.roles import Role
from safety.domain.conditions import (
    EDGES,
    Always,
    Both,
    Condition,
    Not,
    Op,
    Place,
    Rule,
    Test,
)
from safety.domain.fact_names import fact_spec, unit_of
from safety.domain.hierarchy import Level
from safety.domain.library import Control, Hazard, Raise, Reason, Scope, SourceRef
from safety.domain.merge import Spot
from safety.domain.plan import When
from safety.domain.risk import Effect
from safety.domain.templates import Template
from safety.domain.traces import Joint, Outcome
from safety.domain.wording import listed, shown, shown_number

WHO: Mapping[Role, str] = {
    Role.SITE_LEAD: "Site lead",
    Role.CREW: "Crew",
    Role.OFFICE: "Office",
    Role.OWNER: "Owner",
}
PARTS: Mapping[str, str] = {
    "name": "Name",
    "theme": "File",
    "scope": "Step or whole job",
    "harm": "Harm",
    "condition": "When it is there",
    "reasons": "Why it is there",
    "likelihood": "How likely",
    "consequence": "How bad",
    "raises": "What makes it worse",
    "source": "Source",
    "topics": "Filed under",
    "no_higher_control": "Why nothing stands above protective equipment",
    "off": "Switched off",
    "text": "What is done",
    "level": "Kind of control",
    "effect": "What it takes off",
    "who": "Who",
    "when": "When",
    "check": "How it is checked",
    "ask": "Question of the daily check",
}


@dataclass(frozen=True, slots=True)
class Clause:
    """A condition in words: a line, and under it the lines it is made of."""

    says: str
    parts: tuple["Clause", ...] = ()

    def in_a_line(self) -> str:
        """All of it in one line, with brackets."""
        if not self.parts:
            return self.says
        inner = "; ".join(part.in_a_line() for part in self.parts)
        return f"{self.says} [{inner}]"


_JOINTS = {Joint.ALL: "All of these", Joint.ANY: "Any of these"}
_ASKS = {Op.PAST: "past", Op.HAS: "any of", Op.IN: "one of"}


def clause(condition: Condition, names: Mapping[str, str]) -> Clause:
    """A condition in words. ``names`` are those of kinds of step, tools and places."""
    match condition:
        case Both(joint, parts):
            return Clause(_JOINTS[joint], tuple(clause(part, names) for part in parts))
        case Not(part):
            return Clause("Not this", (clause(part, names),))
        case Place(keys):
            return Clause(f"the work is in {_either(keys, names)}")
        case Rule(key):
            return Clause(f"the place has the rule “{rule_words(key)}”")
        case Always():
            return Clause("always: the work itself brings it")
        case Test():
            return Clause(_test(condition, names))


def _test(test: Test, names: Mapping[str, str]) -> str:
    spec = fact_spec(test.fact)
    label = spec.label if spec else test.fact
    says = f"{label}: {_wanted(test, names)}"
    if test.if_unknown is Outcome.YES:
        return f"{says}, or not known"
    return f"{says}, and known" if test.if_unknown is Outcome.NO else says


def _wanted(test: Test, names: Mapping[str, str]) -> str:
    wanted = test.wanted
    if isinstance(wanted, frozenset):
        return _either(wanted, names)
    if test.op in EDGES and isinstance(wanted, int | float):
        return f"{EDGES[test.op]} {shown_number(wanted, unit_of(test.fact))}"
    if test.op is Op.UNKNOWN:
        return "nobody has found out"
    if test.op is Op.PAST:
        return f"past the limit “{rule_words(str(wanted))}” of the place"
    return shown(wanted)


def _either(keys: frozenset[str], names: Mapping[str, str]) -> str:
    words = sorted(names.get(key, key.replace("_", " ")) for key in keys)
    return listed(words, "or")


def sentence(template: Template) -> str:
    """A sentence with its places named: "Falling from [height worked at]"."""
    text = template.text
    for place in template.places():
        text = text.replace(f"{{{place}}}", f"[{_place(place)}]")
    return text


def _place(place: str) -> str:
    rule = place.partition(":")[2]
    spec = fact_spec(place)
    if rule:
        return f"limit: {rule_words(rule)}"
    return spec.label if spec else place


def rule_words(key: str) -> str:
    """A value of the pack by name: "falls, statement height"."""
    return key.replace(".", ", ").replace("_", " ")


def source_words(ref: SourceRef) -> str:
    """Where a hazard or a control comes from."""
    if ref.pack_key:
        return f"the rule “{rule_words(ref.pack_key)}” of the place, else {ref.source.cite()}"
    return ref.source.cite()


def spot_words(spot: Spot, hazard: Hazard | None, control: Control | None) -> str:
    """A place in the library in words."""
    where = sentence(hazard.name) if hazard else spot.hazard
    if spot.control:
        text = sentence(control.text) if control else spot.control
        where = f"{where} › {text[:80]}{'…' if len(text) > 80 else ''}"
    return f"{where} › {_part(spot)}" if spot.part else where


def _part(spot: Spot) -> str:
    if spot.control and spot.part == "condition":
        return "Only if"
    return PARTS.get(spot.part, spot.part)


_Says = Callable[[Any, Mapping[str, str]], str]


def value_words(value: Any, names: Mapping[str, str]) -> str:
    """What stands at a spot, in one line; "nothing" for None and for what is empty."""
    if value in (None, "", ()):
        return "nothing"
    says = next((f for kind, f in _SAYS.items() if isinstance(value, kind)), None)
    return says(value, names) if says else str(value)


def _tuple(values: tuple[Any, ...], names: Mapping[str, str]) -> str:
    return " • ".join(value_words(value, names) for value in values)


def _reason(reason: Reason, names: Mapping[str, str]) -> str:
    if reason.condition is None:
        return sentence(reason.says)
    only = clause(reason.condition, names).in_a_line()
    return f"{sentence(reason.says)} (only if {only})"


def _raise(step: Raise, names: Mapping[str, str]) -> str:
    least = f"at least {step.likelihood} likely and {step.consequence} bad"
    only = clause(step.condition, names).in_a_line()
    return f"{sentence(step.says)} ({least}, if {only})"


def _control(control: Control, names: Mapping[str, str]) -> str:
    who = f"{WHO[control.who]}, {control.when}"
    return f"{control.level.name_in_full}: {sentence(control.text)} {who}."


def _effect(effect: Effect, names: Mapping[str, str]) -> str:
    return f"{effect.likelihood} off how likely, {effect.consequence} off how bad"


_SAYS: Mapping[type, _Says] = {
    Template: lambda value, names: sentence(value),
    Level: lambda value, names: str(value.name_in_full),
    Role: lambda value, names: WHO[value],
    When: lambda value, names: str(value.value),
    Scope: lambda value, names: "whole job" if value is Scope.JOB else "each step",
    Effect: _effect,
    SourceRef: lambda value, names: source_words(value),
    Reason: _reason,
    Raise: _raise,
    Control: _control,
    Hazard: lambda value, names: sentence(value.name),
    Both: lambda value, names: clause(value, names).in_a_line(),
    Not: lambda value, names: clause(value, names).in_a_line(),
    Place: lambda value, names: clause(value, names).in_a_line(),
    Rule: lambda value, names: clause(value, names).in_a_line(),
    Always: lambda value, names: clause(value, names).in_a_line(),
    Test: lambda value, names: clause(value, names).in_a_line(),
    tuple: _tuple,
}
