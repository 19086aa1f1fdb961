"""Bookings of the published plan, and whether each is firm or only pencilled in."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime

from django.db.models import Prefetch, QuerySet

from jobs.domain.holds import Hold, Stops
from jobs.hold_registry import holds
from jobs.models import Task
from scheduling.models import Booking


@dataclass(frozen=True, slots=True)
class BookingView:
    """A booking with the holds that touch it, as of one moment.

    Firm and pencilled are never stored: a booking is firm when no open hold stops a
    booking of its job.
    """

    booking: Booking
    holds: tuple[Hold, ...]

    @property
    def is_firm(self) -> bool:
        """Whether nothing open stops a firm booking."""
        return not is_pencilled(self.holds)

    @property
    def state(self) -> str:
        """The booking in one word."""
        return "firm" if self.is_firm else "pencilled"

    @property
    def is_held(self) -> bool:
        """Whether work or some of its tasks could not go ahead now."""
        return any(hold.stops & {Stops.WORK, Stops.TASKS} for hold in self.holds)

    @property
    def is_over(self) -> bool:
        """Whether every task of the visit is done."""
        tasks = self.booking.visit.tasks.all()
        return bool(tasks) and all(task.done_at is not None for task in tasks)


def is_pencilled(holds: Iterable[Hold]) -> bool:
    """Whether something open stops a firm booking of the job whose holds these are."""
    return any(Stops.BOOKING in hold.stops for hold in holds)


def live_bookings() -> QuerySet[Booking]:
    """Bookings not cancelled, of jobs still open, with all a page shows of them."""
    return (
        Booking.objects.filter(
            cancelled_at__isnull=True, visit__job__closed_at__isnull=True
        )
        .select_related(
            "crew__lead",
            "visit__job__site",
            "visit__job__client",
            "visit__job__site_lead",
        )
        .prefetch_related(
            Prefetch("visit__tasks", Task.objects.order_by("position", "pk"))
        )
        .order_by("start_on", "start_half", "pk")
    )


def bookings_between(first: date, last: date) -> QuerySet[Booking]:
    """Live bookings that touch these days. Two queries."""
    return live_bookings().filter(start_on__lte=last, end_on__gte=first)


def booking_standing(
    bookings: Iterable[Booking], at: datetime
) -> dict[int, BookingView]:
    """How each booking stands, by id. The hold registry's queries, whatever the number.

    Bookings must come from :func:`live_bookings`.
    """
    listed = list(bookings)
    jobs = {booking.visit.job_id: booking.visit.job for booking in listed}
    return standing_under(holds(jobs.values(), at), listed)


def standing_under(
    found: Mapping[int, Sequence[Hold]], bookings: Iterable[Booking]
) -> dict[int, BookingView]:
    """How each booking stands under the holds of its job. No queries."""
    return {
        booking.pk: BookingView(
            booking, tuple(_touching(found[booking.visit.job_id], booking))
        )
        for booking in bookings
    }


def _touching(open_holds: Sequence[Hold], booking: Booking) -> Iterable[Hold]:
    """Holds of the job, and of the tasks that belong to the visit."""
    tasks = {task.pk for task in booking.visit.tasks.all()}
    for hold in open_holds:
        if hold.stops & {Stops.BOOKING, Stops.WORK} or hold.task_ids & tasks:
            yield hold
