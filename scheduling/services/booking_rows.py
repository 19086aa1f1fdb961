"""Put visits on the published plan and take them off: the rows and their ledger entries.

Callers hold the plan's lock and settle the slots afterwards.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from jobs import ledger
from jobs.models import Person
from jobs.services.edits import plain
from scheduling.domain.calendar import Slot
from scheduling.domain.verbs import Verb
from scheduling.models import Booking, Visit

STAMPS = ("sequence", "changed_at", "published_by", "cancelled_at")


@dataclass(frozen=True, slots=True)
class Place:
    """Where a visit is put: crew (id), first and last half-day, pinned, and why there."""

    crew_id: int
    start: Slot
    last: Slot
    pinned: bool
    why: str = ""

    def columns(self) -> dict[str, Any]:
        """The columns of a booking."""
        return {
            "crew_id": self.crew_id,
            "start_on": self.start.day,
            "start_half": self.start.half.value,
            "end_on": self.last.day,
            "end_half": self.last.half.value,
            "is_pinned": self.pinned,
            "why": self.why[:240],
        }


@dataclass(frozen=True, slots=True)
class Placed:
    """What came of putting a visit on the plan."""

    booking: Booking
    moved: bool
    recrewed: bool


def put_on_plan(
    visit: Visit, place: Place, *, actor: Person, at: datetime, why: str = ""
) -> Placed:
    """Book a visit there. ``sequence`` rises only when its crew or its time changes."""
    booking = Booking.objects.select_for_update().filter(visit=visit).first()
    if booking is None:
        booking = Booking.objects.create(
            visit=visit, changed_at=at, published_by=actor, **place.columns()
        )
        _log(Verb.BOOKING_PUBLISHED, booking, {"to": _said(booking)}, why, actor, at)
        return Placed(booking, moved=True, recrewed=False)
    return _move(booking, place, why, actor, at)


def _move(
    booking: Booking, place: Place, why: str, actor: Person, at: datetime
) -> Placed:
    before, crew, was_off = _said(booking), booking.crew_id, booking.cancelled_at
    pinned, reason = booking.is_pinned, booking.why
    for name, value in place.columns().items():
        setattr(booking, name, value)
    after = _said(booking)
    moved = before != after or was_off is not None
    if moved:
        booking.sequence, booking.changed_at = booking.sequence + 1, at
        booking.published_by, booking.cancelled_at = actor, None
        payload = {"from": None if was_off else before, "to": after}
        verb = Verb.BOOKING_PUBLISHED if was_off else Verb.BOOKING_MOVED
        _log(verb, booking, payload, why, actor, at)
    elif pinned != place.pinned:
        now = {"pinned": place.pinned}
        _log(Verb.BOOKING_PINNED, booking, now, why, actor, at)
    if moved or (pinned, reason) != (booking.is_pinned, booking.why):
        booking.save(update_fields=[*place.columns(), *STAMPS])
    return Placed(booking, moved=moved, recrewed=moved and crew != booking.crew_id)


def take_off_plan(visit: Visit, *, why: str, actor: Person, at: datetime) -> bool:
    """Cancel a visit's booking, keeping it so that calendars can say so.

    Whether there was one to cancel.
    """
    booking = (
        Booking.objects.select_for_update()
        .filter(visit=visit, cancelled_at__isnull=True)
        .first()
    )
    if booking is None:
        return False
    booking.cancelled_at = booking.changed_at = at
    booking.sequence += 1
    booking.is_pinned = False
    booking.save(update_fields=["cancelled_at", "changed_at", "sequence", "is_pinned"])
    payload = {"from": _said(booking), "to": None}
    _log(Verb.BOOKING_CANCELLED, booking, payload, why, actor, at)
    return True


def _said(booking: Booking) -> dict[str, Any]:
    """Where it stands, as the ledger keeps it."""
    return {
        "crew": booking.crew.name,
        "starts": f"{plain(booking.start_on)} {booking.start_half}",
        "ends": f"{plain(booking.end_on)} {booking.end_half}",
    }


def _log(
    verb: Verb,
    booking: Booking,
    payload: Mapping[str, Any],
    why: str,
    actor: Person,
    at: datetime,
) -> None:
    ledger.append(
        chain=booking.visit.job,
        actor=actor,
        at=at,
        verb=verb,
        subject=booking,
        payload={**payload, "visit": booking.visit.ordinal, "why": why},
    )
