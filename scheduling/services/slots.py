"""Keep the half-days of crews and people, and the calendar's days, true to the bookings.

Bookings say from when to when; slots and booked days repeat it, half-day by half-day and
day by day, for the working days only. What has begun stays as it was.
"""

from collections import Counter
from collections.abc import Callable, Iterable, Mapping
from datetime import date, datetime
from typing import NamedTuple, TypeVar

from django.db import IntegrityError, models, transaction

from jobs.background import run_after_commit
from jobs.domain.refusals import Refused
from jobs.queries import the_firm
from scheduling.domain.calendar import Slot, say_day
from scheduling.models import Booking, Crew, CrewSlot, PersonSlot
from scheduling.queries.calendar import calendar_between, next_slot
from scheduling.queries.rosters import roster
from scheduling.queries.slots import as_slot, from_slot, halves_of
from scheduling.services.booked_days import settle_days

Slots = TypeVar("Slots", CrewSlot, PersonSlot)


class Taken(NamedTuple):
    """One half-day of a crew or a person taken by a booking."""

    booking_id: int
    owner_id: int
    day: date
    half: str


def settle_people(*, at: datetime) -> None:
    """Put into every half-day to come the people who are in the crew and not away."""
    run_after_commit("scheduling.tasks.tell_people")
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


def settle_working_days(*, at: datetime) -> None:
    """Give every booking the working half-days between its start and its end.

    Raises Refused when a crew or a person would be in two places.
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
    settle_days(live, start.day, at)


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
