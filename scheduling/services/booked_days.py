"""Keep the days that calendars were told of true to the bookings' half-days."""

from collections import Counter, defaultdict
from collections.abc import Collection, Mapping
from datetime import date, datetime
from itertools import groupby

from django.db.models import F, Q

from scheduling.models import BookedDay, Booking, CrewSlot
from scheduling.queries.called_off import CalledOff

Key = tuple[int, int, int]  # booking, crew, number of the day


def settle_days(live: Collection[Booking], today: date, at: datetime) -> None:
    """Tell calendars what changed: each day that did rises by one in its sequence.

    ``live`` are bookings that are not over. Days to come of cancelled bookings are off.
    """
    told = {
        (row.booking_id, row.crew_id, row.number): row
        for row in BookedDay.objects.filter(
            Q(booking__in=live) | Q(day__gte=today, booking__cancelled_at__isnull=False)
        )
    }
    last = _last_sequences(told)
    wanted = _wanted_days(live)
    _write(_changed(told, wanted, last, at))
    fresh = [row for key, row in wanted.items() if key not in told]
    for row in fresh:
        row.sequence = last.get((row.booking_id, row.number), -1) + 1
        row.changed_at = at
    BookedDay.objects.bulk_create(fresh, batch_size=500)


def retell_day(day: date, before: CalledOff, now: CalledOff, at: datetime) -> None:
    """Tell calendars that a day was called off, or is worked after all.

    Only what is told of the day and has changed rises: a job whose own record says the
    same as before stays as it is. The caller holds the plan's lock.
    """
    rows = BookedDay.objects.filter(
        day=day, dropped_at__isnull=True, booking__cancelled_at__isnull=True
    ).values_list("pk", "booking__visit__job_id")
    changed = [pk for pk, job in rows if before.says(job, day) != now.says(job, day)]
    BookedDay.objects.filter(pk__in=changed).update(
        sequence=F("sequence") + 1, changed_at=at
    )


def _last_sequences(told: Mapping[Key, BookedDay]) -> Mapping[tuple[int, int], int]:
    """Highest sequence of each event, whichever crew it was told to."""
    found: dict[tuple[int, int], int] = defaultdict(int)
    for (booking, _, number), row in told.items():
        found[booking, number] = max(found[booking, number], row.sequence)
    return found


def _changed(
    told: Mapping[Key, BookedDay],
    wanted: Mapping[Key, BookedDay],
    last: Mapping[tuple[int, int], int],
    at: datetime,
) -> list[BookedDay]:
    changed = []
    for key, row in told.items():
        if _retell(row, wanted.get(key), at):
            row.sequence = last[row.booking_id, row.number] + 1
            row.changed_at = at
            changed.append(row)
    return changed


def _retell(row: BookedDay, now: BookedDay | None, at: datetime) -> bool:
    """Bring a told day up to date; whether calendars must hear of it."""
    before = (row.day, row.first_half, row.last_half, row.dropped_at is None)
    if now is None:
        row.dropped_at = row.dropped_at or at
    else:
        row.day, row.first_half, row.last_half = now.day, now.first_half, now.last_half
        row.dropped_at = None
    return before != (row.day, row.first_half, row.last_half, row.dropped_at is None)


def _write(rows: Collection[BookedDay]) -> None:
    BookedDay.objects.bulk_update(
        rows,
        ["day", "first_half", "last_half", "sequence", "changed_at", "dropped_at"],
        batch_size=200,
    )


def _wanted_days(live: Collection[Booking]) -> dict[Key, BookedDay]:
    """The days of each booking, numbered, from its half-days between start and end."""
    bookings = {booking.pk: booking for booking in live}
    slots = CrewSlot.objects.filter(booking__in=live).order_by(
        "booking_id", "day", "half"
    )
    inside = (slot for slot in slots if _spans(bookings[slot.booking_id], slot.day))
    days: dict[Key, BookedDay] = {}
    numbers: Counter[int] = Counter()
    for (booking_id, day), group in groupby(inside, lambda s: (s.booking_id, s.day)):
        halves = [slot.half for slot in group]
        numbers[booking_id] += 1
        key = (booking_id, bookings[booking_id].crew_id, numbers[booking_id])
        days[key] = BookedDay(
            booking_id=booking_id,
            crew_id=key[1],
            number=key[2],
            day=day,
            first_half=halves[0],
            last_half=halves[-1],
        )
    return days


def _spans(booking: Booking, day: date) -> bool:
    return booking.start_on <= day <= booking.end_on
