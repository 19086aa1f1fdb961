"""What the engine is asked: jobs cut into visits, the firm, and what is already fixed.

Everything is given in the firm's own terms (dates, half-days, people). Keys are whatever
the caller's records use, unique within their kind.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date
from enum import StrEnum

from jobs.domain.methods import LagKind
from scheduling.domain.calendar import Slot, WorkCalendar


class ReadyKind(StrEnum):
    """What kind of thing a start waits for."""

    APPROVAL = "approval"
    DELIVERY = "delivery"
    CLIENT = "client"
    INSPECTION = "inspection"
    HOLD = "hold"
    OTHER = "other"


@dataclass(frozen=True, slots=True)
class Ready:
    """Work may not start before the half-day ``first``, because of ``why``."""

    first: Slot
    why: str  # "the engineer's certificate is due back on Mon 3 Aug 2026"
    kind: ReadyKind = ReadyKind.OTHER


@dataclass(frozen=True, slots=True)
class Away:
    """Half-days on which a person, a crew or a piece of plant is missing."""

    first: Slot
    last: Slot
    why: str
    count: int = 1  # pieces missing; only read for plant


@dataclass(frozen=True, slots=True)
class Ticket:
    """A licence or competency; ``None`` means no limit on that side."""

    kind: str
    valid_from: date | None = None
    expires: date | None = None  # last day on which it counts

    def holds_on(self, day: date) -> bool:
        """Whether the ticket counts on that day."""
        started = self.valid_from is None or self.valid_from <= day
        return started and (self.expires is None or day <= self.expires)


@dataclass(frozen=True, slots=True)
class Person:
    """Somebody who can be on a crew."""

    key: int
    name: str
    tickets: tuple[Ticket, ...] = ()
    away: tuple[Away, ...] = ()


@dataclass(frozen=True, slots=True)
class Member:
    """A person's place in a crew, open-ended where a date is missing."""

    person: int
    since: date | None = None
    until: date | None = None  # last day in the crew

    def counts_on(self, day: date) -> bool:
        """Whether the person belongs to the crew on that day."""
        joined = self.since is None or self.since <= day
        return joined and (self.until is None or day <= self.until)


@dataclass(frozen=True, slots=True)
class Crew:
    """People who go out together. Crews that share a person never work at once."""

    key: int
    name: str
    members: tuple[Member, ...]
    away: tuple[Away, ...] = ()


@dataclass(frozen=True, slots=True)
class Plant:
    """Shared plant: trestles, a scaffold, a lifter; ``count`` pieces of it."""

    key: int
    name: str
    count: int
    out: tuple[Away, ...] = ()


@dataclass(frozen=True, slots=True)
class PlantNeed:
    """Pieces of shared plant a visit keeps for as long as it lasts."""

    plant: int
    count: int = 1


@dataclass(frozen=True, slots=True)
class After:
    """A visit may start ``lag_hours`` after the visit ``visit`` of the same job ends."""

    visit: int
    lag_hours: float = 0.0
    lag_kind: LagKind = LagKind.CALENDAR
    why: str = ""  # "the sealant has to cure"


@dataclass(frozen=True, slots=True)
class Visit:
    """A run of tasks done in one go by one crew.

    ``halves`` maps the number of people at work to half-days needed; a crew with more
    people than the largest entry works at that entry's speed, one with fewer than the
    smallest cannot do it. A visit without a crew (``needs_crew`` false: an outside trade,
    an inspection) takes the value at its smallest entry.
    """

    key: int
    name: str
    halves: Mapping[int, int]
    tickets: tuple[str, ...] = ()
    plant: tuple[PlantNeed, ...] = ()
    ready: tuple[Ready, ...] = ()
    after: tuple[After, ...] = ()
    not_begun: tuple[Away, ...] = ()  # a roof is not opened while rain is forecast
    stops_in_rain: bool = False
    rain_counted: bool = False  # its length has the season's allowance in it already
    needs_crew: bool = True


@dataclass(frozen=True, slots=True)
class Job:
    """One job: visits in an order that respects ``after``."""

    key: int
    name: str
    visits: tuple[Visit, ...]
    ready: tuple[Ready, ...] = ()
    promised: date | None = None
    wanted: date | None = None
    weight: int = 1
    one_crew: bool = True  # whoever starts it finishes it
    tentative: bool = False  # pencilled in: an approval is not back


@dataclass(frozen=True, slots=True)
class Pin:
    """What a person has fixed by hand; ``None`` leaves that part free."""

    visit: int
    crew: int | None = None
    start: Slot | None = None


@dataclass(frozen=True, slots=True)
class Published:
    """Where a visit stands in the plan that people already know."""

    visit: int
    crew: int | None
    start: Slot


@dataclass(frozen=True, slots=True)
class Stop:
    """Half-days on which rain-stopped work cannot go on; ``jobs`` None means everywhere."""

    first: Slot
    last: Slot
    why: str
    jobs: frozenset[int] | None = None


@dataclass(frozen=True, slots=True)
class Problem:
    """All open jobs of a firm at one moment.

    ``now`` is the first half-day that may still be planned. ``travel_min`` gives one-way
    minutes from a crew's base to a job's site by (crew, job); missing pairs count 0.
    ``rain_percent`` is the share of half-days each month takes from rain-stopped work,
    January first.
    """

    calendar: WorkCalendar
    now: Slot
    people: tuple[Person, ...]
    crews: tuple[Crew, ...]
    jobs: tuple[Job, ...]
    plant: tuple[Plant, ...] = ()
    travel_min: Mapping[tuple[int, int], int] = field(default_factory=dict)
    pins: tuple[Pin, ...] = ()
    published: tuple[Published, ...] = ()
    stops: tuple[Stop, ...] = ()
    rain_percent: tuple[int, ...] = (0,) * 12
