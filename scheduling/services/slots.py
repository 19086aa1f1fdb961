"""Keep the half-days of crews and people, and the calendar's days, true to the bookings.

Bookings say from when to when; slots and booked days repeat it, half-day by half-day and
day by day, for the working days only. What has begun stays as it was.
"""

from collections import Counter
from collections.abc import Callable, Collection, Iterable, Mapping
from datetime import date, datetime
from itertools import groupby
from typing import NamedTuple, TypeVar

from django.db import IntegrityError, models, transaction

from jobs.domain.refusals import Refused
from jobs.queries import the_firm
from scheduling.domain.calendar import Slot, say_day
from scheduling.models import BookedDay, Booking, Crew, CrewSlot, PersonSlot
from scheduling.queries.calendar import calendar_between, next_slot
from scheduling.queries.rosters import roster
from scheduling.queries.slots import as_slot, from_slot, halves_of

Slots = TypeVar("Slots", CrewSlot, PersonSlot)


class Taken(NamedTuple):
    """One half-day of a crew or a person taken by a booking."""

    booking_id: int
    owner_id: int
    day: date
    half: str


def settle_people(*, at: datetime) -> None:
    """Put into every half-day to come the people who are in the crew and not away."""
    start = next_slot(the_firm(), at)
    slots = list(
        CrewSlot.objects.filter(from_slot(start), booking__cancelled_at__isnull=True)
    )
    if not slots and not PersonSlot.objects.filter(from_slot(start)).exists():
        return
    last = max((slot.day for slot in slots), default=start.day)
    people = roster(start.day, last, at)
    wanted = {
        Taken(slot.booking_id, person.pk, slot.day, slot.half)
        for slot in slots
        for person in people.present(slot.crew_id, slot.day)
    }
    _write_people(wanted, start)


def settle_working_days(
    *, at: datetime, recrewed: Collection[int] = frozenset()
) -> None:
    """Give every booking the working half-days between its start and its end.

    ``recrewed`` are bookings (ids) that changed their crew: calendars hear of all their
    days. Raises Refused when a crew or a person would be in two places.
    """
    start = next_slot(the_firm(), at)
    live = list(
        Booking.objects.filter(cancelled_at__isnull=True, end_on__gte=start.day)
    )
    last = max((booking.end_on for booking in live), default=start.day)
    calendar = calendar_between(the_firm(), start.day, last)
    wanted = {
        Taken(booking.pk, booking.crew_id, slot.day, slot.half.value)
        for booking in live
        for slot in halves_of(booking, calendar)
        if slot >= start
    }
    _refuse_double(wanted)
    try:
        with transaction.atomic():
            _write_crews(wanted, start)
            settle_people(at=at)
    except IntegrityError as error:
        raise Refused(
            "A crew or a person would be in two places at once. Nothing was changed: "
            "make a new draft, or move one of the bookings first."
        ) from error
    _settle_days(live, start, recrewed, at)


def _refuse_double(wanted: Iterable[Taken]) -> None:
    """Name the crews that would be booked twice; the database would only say no."""
    counts = Counter((taken.owner_id, taken.day, taken.half) for taken in wanted)
    twice = sorted(key for key, count in counts.items() if count > 1)
    if not twice:
        return
    names = dict(Crew.objects.values_list("pk", "name"))
    raise Refused(
        [
            f"{names[crew]} would be booked twice on {say_day(day)}, "
            f"{as_slot(day, half).half}. Move one of the two."
            for crew, day, half in twice[:5]
        ]
    )


def _write(
    rows: models.QuerySet[Slots],
    make: Callable[[Taken], Slots],
    have: Mapping[Taken, int],
    wanted: set[Taken],
) -> None:
    """Make the rows exactly those wanted; deletes before it adds."""
    gone = [pk for taken, pk in have.items() if taken not in wanted]
    for chunk in range(0, len(gone), 500):
        rows.model._default_manager.filter(pk__in=gone[chunk : chunk + 500]).delete()
    rows.model._default_manager.bulk_create(
        [make(taken) for taken in sorted(wanted - have.keys())], batch_size=500
    )


def _write_crews(wanted: set[Taken], start: Slot) -> None:
    rows = CrewSlot.objects.filter(from_slot(start))
    values = rows.values_list("booking_id", "crew_id", "day", "half", "pk")
    have = {Taken(*value[:4]): value[4] for value in values}
    _write(rows, _crew_slot, have, wanted)


def _crew_slot(taken: Taken) -> CrewSlot:
    booking_id, crew_id, day, half = taken
    return CrewSlot(booking_id=booking_id, crew_id=crew_id, day=day, half=half)


def _write_people(wanted: set[Taken], start: Slot) -> None:
    rows = PersonSlot.objects.filter(from_slot(start))
    values = rows.values_list("booking_id", "person_id", "day", "half", "pk")
    have = {Taken(*value[:4]): value[4] for value in values}
    _write(rows, _person_slot, have, wanted)


def _person_slot(taken: Taken) -> PersonSlot:
    booking_id, person_id, day, half = taken
    return PersonSlot(booking_id=booking_id, person_id=person_id, day=day, half=half)


def _settle_days(
    live: Collection[Booking], start: Slot, recrewed: Collection[int], at: datetime
) -> None:
    told = BookedDay.objects.filter(
        models.Q(booking__in=live)
        | models.Q(day__gte=start.day, booking__cancelled_at__isnull=False)
    )
    have = {(row.booking_id, row.number): row for row in told}
    fresh = _fresh_days(live)
    changed = []
    for key, row in have.items():
        if _retell(row, fresh.pop(key, None), forced=row.booking_id in recrewed):
            row.sequence, row.changed_at = row.sequence + 1, at
            row.dropped_at = at if row.dropped_at else None
            changed.append(row)
    BookedDay.objects.bulk_update(
        changed,
        ["day", "first_half", "last_half", "sequence", "changed_at", "dropped_at"],
        batch_size=200,
    )
    for row in fresh.values():
        row.changed_at = at
    BookedDay.objects.bulk_create(fresh.values(), batch_size=500)


def _fresh_days(live: Collection[Booking]) -> dict[tuple[int, int], BookedDay]:
    """The days of each booking, numbered, from its slots between start and end."""
    spans = {booking.pk: (booking.start_on, booking.end_on) for booking in live}
    slots = CrewSlot.objects.filter(booking__in=live).order_by(
        "booking_id", "day", "half"
    )
    inside = (
        slot
        for slot in slots
        if spans[slot.booking_id][0] <= slot.day <= spans[slot.booking_id][1]
    )
    days: dict[tuple[int, int], BookedDay] = {}
    numbers: Counter[int] = Counter()
    for (booking_id, day), group in groupby(inside, lambda s: (s.booking_id, s.day)):
        halves = [slot.half for slot in group]
        numbers[booking_id] += 1
        number = numbers[booking_id]
        days[booking_id, number] = BookedDay(
            booking_id=booking_id,
            number=number,
            day=day,
            first_half=halves[0],
            last_half=halves[-1],
        )
    return days


def _retell(row: BookedDay, now: BookedDay | None, *, forced: bool) -> bool:
    """Bring a told day up to date; whether calendars must hear of it."""
    if now is None:
        was_on = row.dropped_at is None
        row.dropped_at = row.dropped_at or row.changed_at
        return was_on
    before = (row.day, row.first_half, row.last_half, row.dropped_at)
    row.day, row.first_half, row.last_half = now.day, now.first_half, now.last_half
    row.dropped_at = None
    return forced or before != (row.day, row.first_half, row.last_half, None)
