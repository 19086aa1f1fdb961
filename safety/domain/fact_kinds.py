"""What may be asked of each fact: its kind, its choices, and the subject it belongs to.

A form offers a person only comparisons that fit the fact: a number is held against
another or against a limit of the place, a flag is yes or no, words are picked from a
list. What stands in the tables of the firm (tools, kinds of step, sections) is handed in.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from enum import StrEnum
from types import UnionType
from typing import Any, Union, get_args, get_origin, get_type_hints

from jobs.domain.dimensions import Dimensions, Structure
from jobs.domain.methods import Lifting
from jobs.domain.sections import Material
from jobs.domain.site_facts import SiteFacts
from jobs.domain.takeoff.keys import PIECES
from jobs.domain.tools import Power
from jobs.domain.units import convert
from safety.domain.conditions import Op
from safety.domain.exposures.heat import Load
from safety.domain.fact_names import FACTS, TASK_ONLY, FactSpec


class Kind(StrEnum):
    """What sort of answer a fact has."""

    NUMBER = "number"
    FLAG = "flag"
    WORD = "word"  # one of a list
    WORDS = "words"  # any of a list at once
    TEXT = "text"  # free words; nothing to compare but themselves
    PLACE = "place"  # not a fact: where the work is
    RULE = "rule"  # not a fact: whether the place has a rule
    ALWAYS = "always"  # not a fact: met by any job


# What a row asks about where it asks about no fact of the job.
PLACE, RULE, ALWAYS = "@place", "@rule", "@always"

SUBJECTS = {
    "step": "This step",
    "tools": "Its tools, noise and dust",
    "lifts": "Its lifts",
    "heights": "Heights",
    "site": "The site",
    "weather": "Season and weather",
    "law": "The place and its law",
    "job": "The whole job",
    "structure": "The structure",
    "quantities": "Amounts from the take-off",
}
_STEP = (
    *("task.kind", "task.person_minutes", "task.quantity", "task.crew_min"),
    *("task.crew_max", "task.tickets", "task.materials", "task.stops_in_rain"),
)
_TOOLS = (
    *("task.tools", "task.tool_tags", "task.tool_minutes"),
    *("exposure.noise_lex8h_dba", "exposure.noise_loudest_dba"),
    *("exposure.noise_day_dba", "exposure.hearing_class"),
    *("exposure.hav_a8_ms2", "exposure.hav_points"),
    *("exposure.hav_day_a8_ms2", "exposure.hav_day_points"),
    *("exposure.silica_minutes", "exposure.spark_minutes"),
)
_LIFTS = (
    *("task.pieces_lifted", "task.lifted_how", "task.lift_count"),
    *("task.heaviest_lift_kg", "task.longest_lift_m", "task.highest_lift_m"),
    *("task.heaviest_hand_lift_kg", "task.lift_people"),
    *("task.kinds_lifted_by_hand", "exposure.lift_share_kg", "exposure.lift_index"),
    "exposure.lift_together",
)
_HEIGHTS = (
    *("task.work_height_m", "exposure.fall_height_m", "exposure.fall_clearance_m"),
    *("exposure.ladder_foot_out_m", "exposure.ladder_length_m"),
    *("job.max_work_height_m", "dimensions.clear_height_m"),
    "dimensions.deck_height_m",
)
_WEATHER = (
    *("job.season", "job.month", "job.work_load", "job.heat_limited"),
    "task.wind_limit_ms",
    *("exposure.wind_judged_ms", "exposure.wind_beaufort", "exposure.wind_force_n"),
)
_PLACED: Mapping[str, str] = {
    name: subject
    for subject, names in (
        ("step", _STEP),
        ("tools", _TOOLS),
        ("lifts", _LIFTS),
        ("heights", _HEIGHTS),
        ("weather", _WEATHER),
    )
    for name in names
}
_BY_START = {
    "site": "site",
    "dimensions": "structure",
    "quantities": "quantities",
    "job": "job",
}
# Sentences for the page. A condition on them would hang on how they are worded.
_SENTENCES = {
    *("task.name", "task.key", "task.heaviest_piece", "job.heat_rest"),
    *("job.heat_rest_new", "exposure.noise_figures", "exposure.vibration_figures"),
    "job.heat_limit",
}
_WORDS = {
    *("task.tools", "task.tool_tags", "task.tickets", "task.materials"),
    *("task.pieces_lifted", "task.lifted_how", "job.task_kinds", "job.tools"),
    *("job.tool_tags", "job.lifted_how"),
}
_FLAGS = {"task.stops_in_rain", "job.attached", "job.gable", "job.heat_limited"}
_MAY_BE_UNKNOWN = {
    *("task.wind_limit_ms", "exposure.hearing_class"),
    *("exposure.ladder_foot_out_m", "exposure.ladder_length_m"),
}
_SEASONS = ("spring", "summer", "autumn", "winter")
_MATERIALS = (
    *PIECES,
    *("anchors", "brackets", "concrete", "fixings", "paint", "safety_sign", "sealant"),
)
_UNITS_OF_COUNTS = {"", "each", "index", "points", "person", "calendar year"}

Choices = Mapping[str, str]  # key: words


@dataclass(frozen=True, slots=True)
class Limit:
    """A limit that places set: its name with its values, and its units."""

    label: str
    units: frozenset[str]


@dataclass(frozen=True, slots=True)
class Tables:
    """What stands in the tables of the firm and of the packs, key: words."""

    task_kinds: Choices
    tools: Choices
    tickets: Choices
    sections: Mapping[str, Choices]  # by what a section is used as
    places: Choices
    rules: Choices
    limits: Mapping[str, Limit]
    names: Mapping[str, Choices] = field(default_factory=dict)  # better words, by fact


@dataclass(frozen=True, slots=True)
class Asked:
    """What may be asked of one fact.

    ``limits`` are limits of places that measure the same. ``offered`` is False for facts
    that a new row does not list; one that is there already may stay.
    """

    name: str
    label: str
    kind: Kind
    subject: str
    unit: str = ""
    choices: Choices = field(default_factory=dict)
    limits: Choices = field(default_factory=dict)
    may_be_unknown: bool = False
    offered: bool = True


Catalogue = Mapping[str, Asked]


def catalogue(tables: Tables, *, whole_job: bool) -> Catalogue:
    """All that a condition may ask about, by name; facts of steps only for a step."""
    seen = (
        spec
        for spec in FACTS.values()
        if not (whole_job and spec.name.startswith(TASK_ONLY))
    )
    entries = (*_beside_facts(tables), *(_entry(spec, tables) for spec in seen))
    return {entry.name: entry for entry in entries}


def by_subject(entries: Iterable[Asked]) -> dict[str, list[Asked]]:
    """Entries under their subjects in words, in the order people think of them."""
    found: dict[str, list[Asked]] = {subject: [] for subject in SUBJECTS}
    for entry in entries:
        found[entry.subject].append(entry)
    for name, placed in found.items():
        order = [fact for fact, subject in _PLACED.items() if subject == name]
        placed.sort(key=lambda e: order.index(e.name) if e.name in order else 999)
    return {SUBJECTS[name]: placed for name, placed in found.items() if placed}


def _beside_facts(tables: Tables) -> tuple[Asked, ...]:
    places, rules = tables.places, tables.rules
    return (
        Asked(ALWAYS, "Any work of this kind", Kind.ALWAYS, "step"),
        Asked(PLACE, "Where the work is", Kind.PLACE, "law", choices=places),
        Asked(RULE, "A rule of the place", Kind.RULE, "law", choices=rules),
    )


def _entry(spec: FactSpec, tables: Tables) -> Asked:
    kind, choices, unknown = _shape(spec.name, tables)
    return Asked(
        name=spec.name,
        label=spec.label[:1].upper() + spec.label[1:],
        kind=kind,
        subject=_PLACED.get(spec.name) or _subject(spec.name),
        unit=spec.unit,
        choices={**choices, **tables.names.get(spec.name, {})},
        limits=_limits(spec, tables) if kind is Kind.NUMBER else {},
        may_be_unknown=unknown,
        offered=spec.name not in _SENTENCES and spec.name != "site.state",
    )


def _subject(name: str) -> str:
    start, _, rest = name.partition(".")
    if start == "quantities" and "height" in rest:
        return "heights"
    return _BY_START.get(start, "step")


def _shape(name: str, tables: Tables) -> tuple[Kind, Choices, bool]:
    """The kind of a fact, the words it may hold, and whether it may be unknown."""
    start, _, rest = name.partition(".")
    if name in _WORDS or _words_of(name, tables):
        kind = Kind.WORDS if name in _WORDS else Kind.WORD
        return kind, _words_of(name, tables), False
    record: type | None = {"site": SiteFacts, "dimensions": Dimensions}.get(start)
    if record:
        return _field(get_type_hints(record)[rest])
    if name in _SENTENCES:
        return Kind.TEXT, {}, False
    kind = Kind.FLAG if name in _FLAGS else Kind.NUMBER
    return kind, {}, name in _MAY_BE_UNKNOWN


def _field(hint: Any) -> tuple[Kind, Choices, bool]:
    """The same from the type of a field: ``float | None`` is a number, perhaps unknown."""
    inside = get_args(hint) if get_origin(hint) in (Union, UnionType) else (hint,)
    kind = next(one for one in inside if one is not type(None))
    unknown = type(None) in inside
    if kind is bool:
        return Kind.FLAG, {}, unknown
    if issubclass(kind, StrEnum):
        return Kind.WORD, _plain(kind), unknown
    return Kind.NUMBER if kind in (int, float) else Kind.TEXT, {}, unknown


def _words_of(name: str, tables: Tables) -> Choices:
    """The words of a fact that names something of a table."""
    start, _, rest = name.partition(".")
    if start == "dimensions" and rest.endswith(("_section", "_profile")):
        return tables.sections.get(rest.partition("_")[0], {})
    listed: Mapping[str, Choices] = {
        "task.kind": tables.task_kinds,
        "job.task_kinds": tables.task_kinds,
        "task.tools": tables.tools,
        "job.tools": tables.tools,
        "task.tool_tags": _plain(Power),
        "job.tool_tags": _plain(Power),
        "task.lifted_how": _plain(Lifting),
        "job.lifted_how": _plain(Lifting),
        "task.tickets": tables.tickets,
        "task.materials": _materials(),
        "task.pieces_lifted": PIECES,
        "job.structure": _plain(Structure),
        "job.season": {word: word.capitalize() for word in _SEASONS},
        "job.work_load": _plain(Load),
        "dimensions.sheet_material": _plain(Material),
        "site.state": tables.places,
    }
    return listed.get(name, {})


def _materials() -> Choices:
    names = {key: key.replace("_", " ").capitalize() for key in _MATERIALS}
    return {**names, **{key: PIECES[key] for key in _MATERIALS if key in PIECES}}


def _plain(words: type[StrEnum]) -> Choices:
    return {one.value: one.value.replace("_", " ").capitalize() for one in words}


def _limits(spec: FactSpec, tables: Tables) -> Choices:
    return {
        key: limit.label
        for key, limit in tables.limits.items()
        if all(_measures(spec.unit, unit) for unit in limit.units)
    }


def _measures(unit: str, other: str) -> bool:
    """Whether a fact in one unit can be held against a limit in another."""
    if not unit or unit == "each":
        return other in _UNITS_OF_COUNTS
    try:
        convert(1, unit, other)
    except ValueError:
        return False
    return True


ASKS: Mapping[Kind, tuple[Op, ...]] = {
    Kind.NUMBER: (*(Op.MORE_THAN, Op.AT_LEAST, Op.LESS_THAN, Op.AT_MOST), Op.PAST),
    Kind.FLAG: (Op.IS,),
    Kind.WORD: (Op.IN, Op.IS),
    Kind.WORDS: (Op.HAS,),
    Kind.TEXT: (Op.IS,),
    Kind.PLACE: (Op.IN,),
    Kind.RULE: (Op.IS,),
    Kind.ALWAYS: (Op.IS,),
}  # what a row may ask; of a fact also whether anybody knows it
