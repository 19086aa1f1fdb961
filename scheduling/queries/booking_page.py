"""One booking, day by day."""

from collections import defaultdict
from dataclasses import dataclass
from datetime import date, datetime

from scheduling.models import Booking, CrewSlot, PersonSlot
from scheduling.queries.bookings import BookingView, booking_standing, live_bookings


@dataclass(frozen=True, slots=True)
class WorkDay:
    """One day of a booking, with who is there."""

    day: date
    halves: tuple[str, ...]
    names: tuple[str, ...]

    @property
    def when(self) -> str:
        """Which part of the day."""
        if len(self.halves) > 1:
            return "All day"
        return "Morning" if self.halves == ("am",) else "Afternoon"


def work_days(booking: Booking) -> list[WorkDay]:
    """Days that the booking takes, past ones included. Two queries."""
    halves: dict[date, list[str]] = defaultdict(list)
    for row in CrewSlot.objects.filter(booking=booking).order_by("day", "half"):
        halves[row.day].append(row.half)
    names: dict[date, dict[str, None]] = defaultdict(dict)
    people = PersonSlot.objects.filter(booking=booking).order_by("person__name")
    for day, name in people.values_list("day", "person__name"):
        names[day][name] = None
    return [
        WorkDay(day, tuple(when), tuple(names[day])) for day, when in halves.items()
    ]


def view_of(booking: Booking, at: datetime) -> BookingView | None:
    """How a booking stands; None when it is off the plan."""
    rows = list(live_bookings().filter(pk=booking.pk))
    return booking_standing(rows, at).get(booking.pk)
