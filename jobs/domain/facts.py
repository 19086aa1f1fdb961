"""The facts of a job that safety and time are computed from.

One immutable snapshot: dimensions, quantities, the site and the task sequence. What is
not in here (a phone number, a client's name) cannot make a statement go stale.
"""

from collections.abc import Mapping
from dataclasses import dataclass

from jobs.domain.methods import HoldPointSpec

Fact = float | int | bool | str | None


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


@dataclass(frozen=True, slots=True)
class JobFacts:
    """Everything the hazard rules and the schedule may look at."""

    structure: str
    dimensions: Mapping[str, Fact]  # field names of Dimensions
    quantities: Mapping[str, float]  # take-off quantities by key
    site: Mapping[str, Fact]  # field names of SiteFacts
    tasks: tuple[TaskFacts, ...]
