"""Half-days that bookings take, as rows and as the engine knows them."""

from datetime import date
from typing import Protocol

from django.db.models import Q

from scheduling.domain.calendar import Half, Slot, WorkCalendar


class Spanning(Protocol):
    """A booking, published or of a draft."""

    start_on: date
    start_half: str
    end_on: date
    end_half: str


def as_slot(day: date, half: str) -> Slot:
    """A half-day as the engine knows it."""
    return Slot(day, Half(half))


def start_of(row: Spanning) -> Slot:
    """The half-day a booking begins on."""
    return as_slot(row.start_on, row.start_half)


def end_of(row: Spanning) -> Slot:
    """The last half-day of a booking."""
    return as_slot(row.end_on, row.end_half)


def halves_of(row: Spanning, calendar: WorkCalendar) -> tuple[Slot, ...]:
    """The working half-days of a booking, in order."""
    first = calendar.index_from(start_of(row))
    return calendar.slots[first : calendar.index_after(end_of(row))]


def from_slot(slot: Slot) -> Q:
    """Rows with ``day`` and ``half`` at or after a half-day."""
    return Q(day__gt=slot.day) | Q(day=slot.day, half__gte=slot.half.value)
