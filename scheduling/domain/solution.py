"""What the engine answers: bookings with their reasons, and how good they are."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from enum import StrEnum

from scheduling.domain.calendar import Slot
from scheduling.domain.policy import Term

Score = Mapping[Term, int]


class Origin(StrEnum):
    """Which part of the engine found the plan."""

    OFFICE_RULE = "the office's rule"
    PUBLISHED = "the published plan, mended"
    DISPATCH = "a dispatch rule"
    SEARCH = "trying other orders"
    WINDOWS = "the solver on part of the plan"
    MODEL = "the solver on the whole plan"


@dataclass(frozen=True, slots=True)
class Booking:
    """One visit in the plan: who, from which half-day to which, and why not sooner."""

    visit: int
    job: int
    crew: int | None  # None: nobody of ours is needed
    start: Slot
    last: Slot
    halves: int  # working half-days from start to last
    tentative: bool
    why: str


@dataclass(frozen=True, slots=True)
class Unplaced:
    """A job that is not in the plan, with every reason in words."""

    job: int
    reasons: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Solution:
    """The best plan found.

    ``score`` holds every term; ``cost`` is the score by the policy's levels and ``bound``
    a proven floor for its first levels (as many as were worked on). ``gap`` is the
    relative distance on the first level not proven, 0.0 when all levels are.
    """

    bookings: tuple[Booking, ...]
    unplaced: tuple[Unplaced, ...]
    score: Score
    cost: tuple[int, ...]
    bound: tuple[int, ...]
    gap: float
    proven: bool
    origin: Origin
    steps: int

    def by_visit(self) -> Mapping[int, Booking]:
        """Bookings by their visit."""
        return {booking.visit: booking for booking in self.bookings}


@dataclass(frozen=True, slots=True)
class Progress:
    """Where a running solve stands, for the page that waits."""

    phase: str
    steps: int
    cost: tuple[int, ...]
    bound: tuple[int, ...]
    seconds: float


OnProgress = Callable[[Progress], None]
ShouldStop = Callable[[], bool]
