"""Where a visit would lie if it were booked by hand, and what stands in its way."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta

from jobs.models import Firm
from scheduling.domain.abilities import halves_for
from scheduling.domain.calendar import Slot, WorkCalendar
from scheduling.models import Booking, Crew, CrewSlot, Visit
from scheduling.queries.calendar import calendar_between, next_slot
from scheduling.queries.plan_choice import plan_choice
from scheduling.queries.rosters import Roster, roster
from scheduling.queries.slots import as_slot

PERCENT = 100
REACH = timedelta(days=120)  # longest a visit can stretch over closed days


@dataclass(frozen=True, slots=True)
class Placing:
    """A visit from one half-day to another, and the reasons why it cannot be there."""

    start: Slot
    last: Slot
    people: int
    refusals: tuple[str, ...]


def placing(visit: Visit, crew: Crew, start: Slot, firm: Firm, at: datetime) -> Placing:
    """Work out the last half-day from the people who are there on the first day.

    With too few people for the work the visit gets the time of the smallest crew that
    could do it; the holds say what is missing. Tasks that stop in rain get the firm's
    allowance for it. Six queries.
    """
    calendar = calendar_between(firm, start.day, start.day + REACH)
    known = roster(start.day, start.day + REACH, at, [crew])
    people = len(known.present(crew.pk, start.day))
    sizes = {int(size): halves for size, halves in visit.halves.items()}
    halves = halves_for(sizes, people) or sizes[min(sizes)]
    first = calendar.index(start)
    if first is None:
        why = calendar.off.get(start.day, "the firm does not work then")
        return Placing(
            start, start, people, (f"{start}: {why}. Choose a working day.",)
        )
    rain = plan_choice().rain if visit.stops_in_rain else ()
    slots = calendar.slots[first : first + with_rain(halves, first, calendar, rain)]
    return Placing(
        start=start,
        last=slots[-1],
        people=people,
        refusals=tuple(_refusals(visit, crew, slots, known, next_slot(firm, at))),
    )


def with_rain(
    halves: int, first: int, calendar: WorkCalendar, rain: Sequence[int]
) -> int:
    """Half-days taken when each month loses that many percent of them.

    Rounded as the engine does: a last half-day of which less than half is used is free.
    """
    if not any(rain):
        return halves
    done, need = 0, halves * PERCENT
    for taken, slot in enumerate(calendar.slots[first:], start=1):
        rate = PERCENT - rain[slot.day.month - 1]
        done += rate
        if done + rate // 2 >= need:
            return taken
    return halves


def _refusals(
    visit: Visit, crew: Crew, slots: tuple[Slot, ...], known: Roster, now: Slot
) -> list[str]:
    found = []
    if slots[0] < now:
        found.append("That half-day has begun already. Choose a later one.")
    if not crew.is_active:
        found.append(f"{crew} does not work any more. Choose another crew.")
    gone = known.crew_away(crew.pk, slots[0].day)
    if gone is not None:
        found.append(f"{crew} is away on that day: {gone.reason}.")
    clash = _clash(visit, crew, slots)
    if clash is not None:
        found.append(
            f"{crew} is booked on {clash.booking.visit.job} "
            f"on {as_slot(clash.day, clash.half)}. Move that first."
        )
    return found


def _clash(visit: Visit, crew: Crew, slots: tuple[Slot, ...]) -> CrewSlot | None:
    """The first half-day that another open job has of this crew."""
    rows = CrewSlot.objects.filter(
        crew=crew,
        day__range=(slots[0].day, slots[-1].day),
        booking__cancelled_at__isnull=True,
        booking__visit__job__closed_at__isnull=True,
    ).exclude(booking__visit=visit)
    for row in rows.select_related("booking__visit__job"):
        if as_slot(row.day, row.half) in slots:
            return row
    return None


def live_booking(visit: Visit) -> Booking | None:
    """The visit's booking in the published plan. One query."""
    return (
        Booking.objects.filter(visit=visit, cancelled_at__isnull=True)
        .select_related("crew")
        .first()
    )
