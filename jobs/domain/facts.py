"""The facts of a job that safety and time are computed from.

One immutable snapshot: dimensions, quantities, the site and the task sequence. What is
not in here (a phone number, a client's name) cannot make a statement go stale.

All numbers are rounded to ``DECIMALS`` places, so that the same job always gives the same
digest: SHA-256 over its canonical JSON (RFC 8785).
"""

from collections.abc import Iterable, Mapping
from dataclasses import asdict, dataclass, fields
from typing import Any

from jobs.domain.chain import digest_of
from jobs.domain.dimensions import Dimensions, Structure
from jobs.domain.durations import person_minutes
from jobs.domain.methods import HoldPointSpec, LiftSpec, TaskSpec
from jobs.domain.sections import Sections
from jobs.domain.sequence import needed
from jobs.domain.site_facts import SiteFacts
from jobs.domain.takeoff.model import Piece, TakeOff

Fact = float | int | bool | str | None

DECIMALS = 6  # a thousandth of a millimetre, a milligram


@dataclass(frozen=True, slots=True)
class ToolUse:
    """Running minutes of one tool over the whole task."""

    tool: str
    minutes: float


@dataclass(frozen=True, slots=True)
class Lift:
    """One kind of lift in a task."""

    piece: str
    name: str
    count: int
    mass_kg: float
    length_m: float
    people: int
    how: str
    from_height_m: float
    to_height_m: float


@dataclass(frozen=True, slots=True)
class TaskFacts:
    """One task of the job with its quantities worked out."""

    key: str
    kind: str
    name: str
    position: int
    after: tuple[str, ...]
    crew_min: int
    crew_max: int
    person_minutes: float
    work_height_m: float
    quantity: float
    quantity_unit: str
    tools: tuple[ToolUse, ...]
    lifts: tuple[Lift, ...]
    tickets: tuple[str, ...]
    materials: tuple[str, ...]
    hold_point: HoldPointSpec | None
    wind_limit_ms: float | None
    stops_in_rain: bool
    wait_hours: float = 0.0  # the longest wait after what it follows, such as a cure


@dataclass(frozen=True, slots=True)
class JobFacts:
    """Everything the hazard rules and the schedule may look at."""

    structure: str
    dimensions: Mapping[str, Fact]  # field names of Dimensions, and sheet_material
    quantities: Mapping[str, float]  # take-off quantities by key
    site: Mapping[str, Fact]  # field names of SiteFacts
    tasks: tuple[TaskFacts, ...]


def facts_of(
    structure: Structure,
    dims: Dimensions,
    site: SiteFacts,
    tasks: Iterable[TaskSpec],
    takeoff: TakeOff,
    sections: Sections,
) -> JobFacts:
    """The facts of a job. Tasks that the dimensions do not call for are left out."""
    called_for = needed(tasks, takeoff)
    sheet = sections[dims.sheet_profile]
    return JobFacts(
        structure=structure.value,
        dimensions=_plain(dims) | {"sheet_material": sheet.material.value},
        quantities={key: _round(q.value) for key, q in takeoff.quantities.items()},
        site=_plain(site),
        tasks=tuple(
            _task_facts(position, task, takeoff)
            for position, task in enumerate(called_for, start=1)
        ),
    )


def to_json(facts: JobFacts) -> dict[str, Any]:
    """Facts as plain mappings, lists, texts and numbers. ``from_json`` turns it back."""
    plain = asdict(facts)
    plain["tasks"] = [_listed(task) for task in plain["tasks"]]
    return plain


def from_json(plain: Mapping[str, Any]) -> JobFacts:
    """The facts that ``to_json`` wrote down."""
    return JobFacts(
        structure=plain["structure"],
        dimensions=dict(plain["dimensions"]),
        quantities=dict(plain["quantities"]),
        site=dict(plain["site"]),
        tasks=tuple(_task_from(task) for task in plain["tasks"]),
    )


def digest(facts: JobFacts) -> str:
    """SHA-256, in hex, over the canonical JSON of the facts. Source: RFC 8785."""
    return digest_of(to_json(facts))


def _task_facts(position: int, task: TaskSpec, takeoff: TakeOff) -> TaskFacts:
    on_ground = task.at_height == "ground"
    height = 0.0 if on_ground else takeoff.value(task.at_height)
    quantity = takeoff.quantities[task.per]
    return TaskFacts(
        key=task.key,
        kind=task.kind,
        name=task.name,
        position=position,
        after=tuple(link.after for link in task.links),
        crew_min=task.crew_min,
        crew_max=task.crew_max,
        person_minutes=_round(person_minutes(task, takeoff)),
        work_height_m=_round(height),
        quantity=_round(quantity.value),
        quantity_unit=quantity.unit,
        tools=_tools(task, takeoff),
        lifts=tuple(
            _lift(spec, piece)
            for spec in task.lifts
            for piece in takeoff.lifted(spec.piece)
        ),
        tickets=task.tickets,
        materials=task.materials,
        hold_point=task.hold_point,
        wind_limit_ms=task.wind_limit_ms,
        stops_in_rain=task.stops_in_rain,
        wait_hours=_round(max((link.lag_hours for link in task.links), default=0.0)),
    )


def _tools(task: TaskSpec, takeoff: TakeOff) -> tuple[ToolUse, ...]:
    """One line a tool: a tool named for two quantities runs for both."""
    minutes: dict[str, float] = {}
    for spec in task.tools:
        more = spec.minutes_per_unit * takeoff.value(spec.per)
        minutes[spec.tool] = minutes.get(spec.tool, 0.0) + more
    return tuple(ToolUse(tool, _round(total)) for tool, total in minutes.items())


def _lift(spec: LiftSpec, piece: Piece) -> Lift:
    return Lift(
        piece=piece.key,
        name=piece.name,
        count=piece.count,
        mass_kg=_round(piece.mass_kg),
        length_m=_round(piece.length_m),
        people=spec.people,
        how=spec.how.value,
        from_height_m=0.0,
        to_height_m=_round(piece.top_m),
    )


def _round(value: float) -> float:
    # Adding zero turns -0.0 into 0.0, which are equal but are not written the same.
    return round(float(value), DECIMALS) + 0.0


def _plain(record: Dimensions | SiteFacts) -> dict[str, Fact]:
    plain = {f.name: getattr(record, f.name) for f in fields(record)}
    return {
        name: _round(value) if isinstance(value, float) else _bare(value)
        for name, value in plain.items()
    }


def _bare(value: Fact) -> Fact:
    return str(value) if isinstance(value, str) else value


def _listed(task: dict[str, Any]) -> dict[str, Any]:
    return {
        name: list(value) if isinstance(value, tuple) else value
        for name, value in task.items()
        # Only where there is one, so that steps without keep the digest they always had.
        if name != "wait_hours" or value
    }


def _task_from(plain: Mapping[str, Any]) -> TaskFacts:
    values = dict(plain)
    for name in ("after", "tickets", "materials"):
        values[name] = tuple(values[name])
    values["tools"] = tuple(ToolUse(**tool) for tool in values["tools"])
    values["lifts"] = tuple(Lift(**lift) for lift in values["lifts"])
    point = values["hold_point"]
    values["hold_point"] = HoldPointSpec(**point) if point else None
    return TaskFacts(**values)
