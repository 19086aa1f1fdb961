"""Methods read from YAML text, with each mistake named by file and line."""

from collections.abc import Callable, Collection, Iterable
from dataclasses import dataclass
from typing import TypeVar

from jobs.domain.dimensions import Structure
from jobs.domain.methods import (
    HoldPointSpec,
    LagKind,
    Lifting,
    LiftSpec,
    Link,
    Method,
    TaskSpec,
    ToolSpec,
)
from jobs.domain.sequence import find_cycle, loop_in_words
from jobs.domain.takeoff.keys import HEIGHT_KEYS, PIECE_KEYS, QUANTITY_KEYS
from jobs.domain.yaml_lines import Fault, Fields, LibraryError, Node, gather, parse_yaml

T = TypeVar("T")

MEASURES = ("diagonals", "fall", "plumb", "look")
# Materials that are not on the cutting list.
CONSUMABLES = frozenset(
    {"anchors", "brackets", "fixings", "sealant", "safety_sign", "concrete", "paint"}
)
MATERIAL_KEYS = PIECE_KEYS | CONSUMABLES
GROUND = "ground"
PRACTICE = "common practice, no source"

_REQUIRED = ("key", "kind", "name", "per", "minutes_per_unit")
_OPTIONAL = (
    "after",
    "setup_minutes",
    "crew",
    "at_height",
    "tools",
    "tickets",
    "lifts",
    "materials",
    "hold_point",
    "wind_limit_ms",
    "stops_in_rain",
    "weather_source",
    "source",
    "only_if",
    "says",
)


@dataclass(frozen=True, slots=True)
class Vocabulary:
    """The keys of the tables that a method may name."""

    kinds: Collection[str]
    tools: Collection[str]
    ticket_kinds: Collection[str]


def parse_method(
    text: str,
    *,
    filename: str,
    kinds: Collection[str],
    tools: Collection[str],
    ticket_kinds: Collection[str],
) -> Method:
    """One method from its YAML text. LibraryError holds every fault found.

    Unknown keys, kinds, tools, tickets, quantities and pieces are faults, and so are
    doubled tasks, missing predecessors, negative waits and loops.
    """
    words = Vocabulary(kinds, tools, ticket_kinds)
    fields = parse_yaml(text, filename=filename).fields(
        "key", "name", "structure", "tasks"
    )
    structure = fields["structure"].one_of(list(Structure), "structure")
    nodes = fields.items("tasks")
    tasks = gather(nodes, lambda node: _task(node, words))
    _check_sequence(filename, nodes, tasks)
    return Method(fields.text("key"), fields.text("name"), structure, tasks)


def _task(node: Node, words: Vocabulary) -> TaskSpec:
    fields = node.fields(*_REQUIRED, optional=_OPTIONAL)
    crew_min, crew_max = _crew(fields)
    return TaskSpec(
        key=fields.text("key"),
        kind=fields["kind"].one_of(words.kinds, "kind of task"),
        name=fields.text("name"),
        links=_each(fields, "after", _link),
        per=fields["per"].one_of(QUANTITY_KEYS, "quantity"),
        minutes_per_unit=fields.number("minutes_per_unit", at_least=0),
        setup_minutes=fields.number("setup_minutes", at_least=0),
        crew_min=crew_min,
        crew_max=crew_max,
        at_height=_choice(
            fields, "at_height", HEIGHT_KEYS | {GROUND}, "height", GROUND
        ),
        tools=_each(fields, "tools", lambda item: _tool(item, words)),
        tickets=_each(
            fields, "tickets", lambda item: item.one_of(words.ticket_kinds, "ticket")
        ),
        lifts=_each(fields, "lifts", lambda item: _lift(item, crew_max)),
        materials=_each(
            fields, "materials", lambda item: item.one_of(MATERIAL_KEYS, "material")
        ),
        hold_point=_hold_point(fields["hold_point"])
        if "hold_point" in fields
        else None,
        wind_limit_ms=_wind_limit(fields),
        stops_in_rain=fields.flag("stops_in_rain"),
        weather_source=fields.text("weather_source"),
        source=fields.text("source", PRACTICE),
        only_if=_choice(fields, "only_if", QUANTITY_KEYS, "quantity", ""),
        says=fields.text("says"),
    )


def _each(fields: Fields, key: str, parse: Callable[[Node], T]) -> tuple[T, ...]:
    return gather(fields.items(key), parse)


def _choice(
    fields: Fields, key: str, choices: Collection[str], what: str, default: str
) -> str:
    return fields[key].one_of(choices, what) if key in fields else default


def _crew(fields: Fields) -> tuple[int, int]:
    """Written as [least, most]."""
    if "crew" not in fields:
        return 2, 4
    sizes = [item.whole(at_least=1) for item in fields.items("crew")]
    if len(sizes) != 2 or sizes[0] > sizes[1]:
        raise fields["crew"].fault("write the crew as [least, most], such as [2, 4].")
    return sizes[0], sizes[1]


def _link(node: Node) -> Link:
    """A task key, or a mapping with a wait and its reason."""
    if not node.is_mapping:
        return Link(node.text())
    fields = node.fields("task", optional=("lag_hours", "lag_kind", "why"))
    lag = fields.number("lag_hours", at_least=0)
    why = fields.text("why")
    if lag and not why:
        raise node.fault('say "why" the next task has to wait.')
    kind = _choice(fields, "lag_kind", list(LagKind), "kind of wait", LagKind.CALENDAR)
    return Link(fields.text("task"), lag, LagKind(kind), why)


def _tool(node: Node, words: Vocabulary) -> ToolSpec:
    fields = node.fields("tool", optional=("per", "minutes"))
    return ToolSpec(
        tool=fields["tool"].one_of(words.tools, "tool"),
        per=_choice(fields, "per", QUANTITY_KEYS, "quantity", "job"),
        minutes_per_unit=fields.number("minutes", at_least=0),
    )


def _lift(node: Node, crew_max: int) -> LiftSpec:
    fields = node.fields("piece", "people", optional=("how",))
    people = fields.whole("people", at_least=1)
    if people > crew_max:
        raise node.fault(f"{people} people lift, but the crew is at most {crew_max}.")
    how = _choice(fields, "how", list(Lifting), "way to lift", Lifting.BY_HAND)
    return LiftSpec(fields["piece"].one_of(PIECE_KEYS, "piece"), people, Lifting(how))


def _hold_point(node: Node) -> HoldPointSpec:
    fields = node.fields("key", "says", "measure", optional=("tolerance_mm", "source"))
    has_tolerance = "tolerance_mm" in fields
    return HoldPointSpec(
        key=fields.text("key"),
        says=fields.text("says"),
        measure=fields["measure"].one_of(MEASURES, "measure"),
        tolerance_mm=fields.number("tolerance_mm", at_least=0)
        if has_tolerance
        else None,
        source=fields.text("source", PRACTICE),
    )


def _wind_limit(fields: Fields) -> float | None:
    """No law gives a number, so a limit has to say whose it is."""
    if "wind_limit_ms" not in fields:
        return None
    if "weather_source" not in fields:
        raise fields["wind_limit_ms"].fault(
            'say in "weather_source" whose limit it is: no law gives one.'
        )
    return fields.number("wind_limit_ms", at_least=0)


def _check_sequence(
    filename: str, nodes: tuple[Node, ...], tasks: tuple[TaskSpec, ...]
) -> None:
    lines = [node.line for node in nodes]
    faults = [
        Fault(filename, line, says)
        for line, task in zip(lines, tasks, strict=True)
        for says in _task_faults(task, tasks)
    ]
    loop = find_cycle({task.key: [link.after for link in task.links] for task in tasks})
    if loop:
        names = {task.key: task.name for task in tasks}
        at = next(
            n for n, task in zip(lines, tasks, strict=True) if task.key == loop[0]
        )
        faults.append(Fault(filename, at, loop_in_words(loop, names)))
    if faults:
        raise LibraryError(faults)


def _task_faults(task: TaskSpec, tasks: tuple[TaskSpec, ...]) -> Iterable[str]:
    same = [other for other in tasks if other.key == task.key]
    if same[0] is not task:
        yield f'the task "{task.key}" is there twice.'
    known = {other.key for other in tasks}
    for link in task.links:
        if link.after not in known:
            yield f'"{task.key}" waits for "{link.after}", which is not in this method.'
