"""What the form of a condition offers: facts by subject, and the words of the tables."""

from collections import defaultdict
from collections.abc import Mapping
from functools import lru_cache

from jobs.library import sections, task_kinds, ticket_kinds, tools
from jobs.models import STRUCTURE_NAMES
from jobs.models.clients import ACCESSES, GROUNDS, ROOFS
from safety.domain.fact_kinds import Catalogue, Choices, Limit, Tables, catalogue
from safety.domain.library import Scope
from safety.domain.library_words import rule_words
from safety.library import packs


@lru_cache(maxsize=2)
def asked_of(scope: Scope) -> Catalogue:
    """All that a condition of that scope may ask about. No query."""
    return catalogue(_tables(), whole_job=scope is Scope.JOB)


def _tables() -> Tables:
    keys = sorted(frozenset[str]().union(*(p.keys() for p in packs().values())))
    return Tables(
        task_kinds={key: kind.name for key, kind in task_kinds().items()},
        tools={key: tool.name for key, tool in tools().items()},
        tickets={key: kind.name for key, kind in ticket_kinds().items()},
        sections=_sections(),
        places={key: pack.name for key, pack in packs().items()},
        rules={key: _named(key) for key in keys},
        limits=_limits(),
        names={
            "site.existing_roof": dict(ROOFS),
            "site.ground": dict(GROUNDS),
            "site.access": dict(ACCESSES),
            "job.structure": {key.value: name for key, name in STRUCTURE_NAMES.items()},
        },
    )


def _sections() -> Mapping[str, Choices]:
    found: defaultdict[str, dict[str, str]] = defaultdict(dict)
    for key, section in sections().items():
        found[section.role.value][key] = section.name
    return dict(found)


def _named(key: str) -> str:
    words = rule_words(key)
    return words[:1].upper() + words[1:]


def _limits() -> dict[str, Limit]:
    """Limits by key, each with what it is in the places that set it, later law first out.

    A value that has an end is not quoted: the words are of what counts from now on.
    """
    units: defaultdict[str, set[str]] = defaultdict(set)
    quotes: defaultdict[str, dict[str, None]] = defaultdict(dict)
    for pack in packs().values():
        for value in (v for layer in pack.values for vs in layer.values() for v in vs):
            if value.edge is not None:
                units[value.key].add(value.unit)
                if value.effective_to is None:
                    quotes[value.key][value.quoted()] = None
    return {
        key: Limit(_quoted(key, list(quotes[key])), frozenset(units[key]))
        for key in sorted(units)
    }


def _quoted(key: str, quotes: list[str]) -> str:
    if not quotes:
        return _named(key)
    said = quotes[0] if len(quotes) == 1 else f"{' or '.join(quotes)}, by place"
    return f"{_named(key)}: {said}"
