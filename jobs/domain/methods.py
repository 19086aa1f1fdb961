"""The shape of a method: how one kind of structure is built, task by task."""

from collections.abc import Mapping
from dataclasses import dataclass
from enum import StrEnum


class LagKind(StrEnum):
    """How a lag between two tasks is counted."""

    CALENDAR = "calendar"  # sealant cures over a weekend too
    WORKING = "working"


class Lifting(StrEnum):
    """How a piece is raised."""

    BY_HAND = "by_hand"
    PROPS = "props"  # raised in stages on props and trestles
    LIFTER = "lifter"  # hired winch lifter
    CRANE = "crane"


@dataclass(frozen=True, slots=True)
class Link:
    """A predecessor: this task may start ``lag_hours`` after ``after`` finishes."""

    after: str
    lag_hours: float = 0.0
    lag_kind: LagKind = LagKind.CALENDAR
    why: str = ""


@dataclass(frozen=True, slots=True)
class ToolSpec:
    """Running (trigger) minutes of a tool for each unit of a take-off quantity."""

    tool: str
    per: str  # quantity key
    minutes_per_unit: float


@dataclass(frozen=True, slots=True)
class LiftSpec:
    """What is lifted: a piece of the take-off, how, and by how many people."""

    piece: str
    people: int
    how: Lifting = Lifting.BY_HAND


@dataclass(frozen=True, slots=True)
class HoldPointSpec:
    """A place in the sequence where work waits for a measurement or a check."""

    key: str
    says: str
    measure: str  # kind of measurement: diagonals, fall, plumb, or look
    tolerance_mm: float | None = None
    source: str = "common practice, no source"


@dataclass(frozen=True, slots=True)
class TaskSpec:
    """One task of a method.

    Person-minutes of the task are ``setup_minutes + minutes_per_unit × quantity(per)``;
    elapsed minutes divide that by the people at work (the crew, at most ``crew_max``).
    A task with ``only_if`` falls away when the take-off has none of that quantity: a
    method holds both anchors in a slab and footings, and the dimensions choose.
    """

    key: str
    kind: str  # key of the task kinds table
    name: str
    links: tuple[Link, ...]
    per: str
    minutes_per_unit: float
    setup_minutes: float = 0.0
    crew_min: int = 2
    crew_max: int = 4
    at_height: str = "ground"  # quantity key of the height worked at, or "ground"
    tools: tuple[ToolSpec, ...] = ()
    tickets: tuple[str, ...] = ()  # one person of the crew holds each
    lifts: tuple[LiftSpec, ...] = ()
    materials: tuple[str, ...] = ()  # piece keys that must be on site first
    hold_point: HoldPointSpec | None = None
    wind_limit_ms: float | None = None  # the firm's own limit, no law gives one
    stops_in_rain: bool = False
    weather_source: str = ""
    source: str = "common practice, no source"
    only_if: str = ""  # quantity key; "" when the task is always there
    says: str = ""  # how it is done, as a careful foreman would say it


@dataclass(frozen=True, slots=True)
class Method:
    """The task sequence for one kind of structure."""

    key: str
    name: str
    structure: str
    tasks: tuple[TaskSpec, ...]

    def by_key(self) -> Mapping[str, TaskSpec]:
        """Tasks by their key."""
        return {task.key: task for task in self.tasks}
