"""What the office asks first in the morning: this week's work, loads, what to chase."""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, datetime, timedelta

from jobs.models import Firm, Person
from jobs.queries import local_day
from scheduling.domain.calendar import say_day
from scheduling.domain.supply import joined
from scheduling.models import Draft
from scheduling.permissions import visible_deliveries
from scheduling.queries.bookings import (
    BookingView,
    booking_standing,
    bookings_between,
)
from scheduling.queries.deliveries import DeliveryView, delivery_views
from scheduling.queries.drafts import current_draft, is_overtaken, plan_head

WEEK = timedelta(days=6)
SOON = timedelta(days=14)  # pencilled work nearer than this wants chasing


@dataclass(frozen=True, slots=True)
class ToChase:
    """One thing to go after today, with the page to do it on."""

    says: str
    record: tuple[str, int]  # as a hold names its record
    by: date | None


@dataclass(frozen=True, slots=True)
class Landing:
    """The office's first page, as far as scheduling knows it."""

    bookings: list[BookingView]  # this week
    deliveries: list[DeliveryView]  # this week, and whatever is late
    chase: list[ToChase]
    draft: Draft | None


def landing(person: Person, firm: Firm, at: datetime) -> Landing:
    """Bookings of the week, loads due, and what to chase. A fixed number of queries."""
    today = local_day(at, firm)
    rows = list(bookings_between(today, today + SOON))
    standing = booking_standing(rows, at)
    views = [standing[row.pk] for row in rows]
    loads = delivery_views(
        visible_deliveries(person)
        .filter(cancelled_at__isnull=True)
        .exclude(due_on__gt=today + WEEK)
        .exclude(receipts__isnull=False)
        .order_by("due_on", "pk"),
        today,
    )
    draft = current_draft()
    chase = [*_late_loads(loads), *_pencilled(views), *_draft(draft)]
    return Landing(
        bookings=[v for v in views if v.booking.start_on <= today + WEEK],
        deliveries=[load for load in loads if load.delivery.due_on is not None],
        chase=sorted(chase, key=lambda item: item.by or date.max),
        draft=draft,
    )


def _late_loads(loads: list[DeliveryView]) -> Iterator[ToChase]:
    for load in loads:
        delivery, parts = load.delivery, joined(load.parts)
        if load.is_late and delivery.due_on:
            says = f"{delivery.supplier} is late with {parts} for {delivery.job}."
        elif delivery.due_on is None:
            says = f"{delivery.supplier} gave no day for {parts} for {delivery.job}."
        else:
            continue
        yield ToChase(says, ("scheduling.delivery", delivery.pk), delivery.due_on)


def _pencilled(views: list[BookingView]) -> Iterator[ToChase]:
    for view in views:
        if not view.is_firm and not view.is_over:
            booking = view.booking
            day = say_day(booking.start_on)
            says = f"{booking.visit.job} is only pencilled in for {day}."
            yield ToChase(says, ("scheduling.booking", booking.pk), booking.start_on)


def _draft(draft: Draft | None) -> Iterator[ToChase]:
    if draft is not None and draft.state == Draft.State.READY:
        overtaken = is_overtaken(draft, plan_head())
        says = (
            "The draft of the plan was overtaken. Make a new one."
            if overtaken
            else "A draft of the plan waits to be published."
        )
        yield ToChase(says, ("scheduling.draft", draft.pk), None)
