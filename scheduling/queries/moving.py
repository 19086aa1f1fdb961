"""A visit moved by hand, before it is: where it would be, what breaks, where else."""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime, timedelta

from jobs.models import Firm
from scheduling.domain.calendar import Slot
from scheduling.models import Booking, Crew, Visit
from scheduling.queries.broken import broken_by
from scheduling.queries.calendar import calendar_between
from scheduling.queries.placing import Placing, placing
from scheduling.queries.slots import start_of

AROUND = timedelta(days=30)  # longest row of days on which nobody works
STEPS = (
    (-2, "A day earlier"),
    (-1, "Half a day earlier"),
    (1, "Half a day later"),
    (2, "A day later"),
)


@dataclass(frozen=True, slots=True)
class Step:
    """One place beside the one looked at."""

    says: str
    crew_id: int
    start: Slot


@dataclass(frozen=True, slots=True)
class Proposal:
    """A visit at a place where it is not booked yet."""

    crew: Crew
    there: Placing
    breaks: tuple[str, ...]
    is_here: bool  # where it is booked now
    steps: tuple[Step, ...]

    @property
    def may_be_booked(self) -> bool:
        """Whether the office may put it there, knowing what that breaks."""
        return not self.is_here and not self.there.refusals


def proposal(
    visit: Visit, booking: Booking, crew: Crew, start: Slot, firm: Firm, at: datetime
) -> Proposal:
    """What putting the visit there would mean. A fixed number of queries."""
    there = placing(visit, crew, start, firm, at)
    is_here = (booking.crew_id, start_of(booking)) == (crew.pk, start)
    breaks = () if there.refusals else broken_by(visit, crew, there, firm, at)
    return Proposal(
        crew=crew,
        there=there,
        breaks=breaks,
        is_here=is_here,
        steps=(*_in_time(crew, start, firm), *_other_crews(crew, start)),
    )


def _in_time(crew: Crew, start: Slot, firm: Firm) -> Iterator[Step]:
    """The same crew on half-days that are worked, before and after."""
    calendar = calendar_between(firm, start.day - AROUND, start.day + AROUND)
    later, earlier = calendar.index_after(start), calendar.index_from(start)
    for by, says in STEPS:
        at = later + by - 1 if by > 0 else earlier + by
        if 0 <= at < len(calendar):
            yield Step(says, crew.pk, calendar.slot(at))


def _other_crews(crew: Crew, start: Slot) -> Iterator[Step]:
    for other in Crew.objects.filter(is_active=True).exclude(pk=crew.pk):
        yield Step(f"{other} does it", other.pk, start)
