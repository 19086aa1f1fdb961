"""Publish a draft as the plan that everybody works by."""

from dataclasses import dataclass
from datetime import datetime

from django.db import transaction

from jobs import ledger
from jobs.domain.refusals import Refused
from jobs.domain.roles import Can
from jobs.models import Person
from jobs.permissions import require
from jobs.queries import local_day, the_firm
from scheduling.domain.calendar import Slot
from scheduling.domain.verbs import Verb
from scheduling.models import Booking, Draft, DraftBooking
from scheduling.queries.calendar import next_slot
from scheduling.queries.differences import differences
from scheduling.queries.other_trades import other_trades
from scheduling.queries.slots import as_slot, end_of, start_of
from scheduling.queries.told import told
from scheduling.queries.visits import progress_of
from scheduling.services.booking_rows import Place, put_on_plan, take_off_plan
from scheduling.services.plan_head import (
    advance,
    lock_head,
    refuse_overtaken,
    take_off_closed,
)
from scheduling.services.slots import settle_working_days


@dataclass(frozen=True, slots=True)
class Published:
    """What publishing did."""

    number: int
    moved: int  # new or moved
    taken_off: int


@transaction.atomic
def publish_draft(*, draft: Draft, actor: Person, at: datetime) -> Published:
    """Make a draft the published plan.

    Refused when somebody published after the draft was made, and when it would put a
    crew or a person in two places. Half-days that have begun stay as they were. What
    changed and who has to hear of it is kept with the draft.
    """
    require(actor, Can.EDIT_SCHEDULE)
    head = lock_head()
    draft = Draft.objects.select_for_update().get(pk=draft.pk)
    if draft.state != Draft.State.READY:
        raise Refused(f"This draft is “{draft.get_state_display()}”. Make a new one.")
    refuse_overtaken(head, draft.based_on)
    take_off_closed(actor=actor, at=at)
    changes = differences(draft, the_firm(), at)
    draft.told = told(changes, other_trades(draft), local_day(at))
    rows = list(draft.bookings.select_related("visit__job"))
    now = next_slot(the_firm(), at)
    live = _live(now)
    _refuse_outdated(rows, live, now)
    moved = sum(_put(row, actor, at) for row in rows)
    placed = {row.visit_id for row in rows}
    left = [booking for pk, booking in live.items() if pk not in placed]
    taken_off = sum(_let_go(booking, now, actor, at) for booking in left)
    settle_working_days(at=at)
    advance(head, actor=actor, at=at)
    draft.state, draft.ended_at = Draft.State.PUBLISHED, at
    draft.save(update_fields=["state", "ended_at", "told"])
    done = Published(head.number, moved, taken_off)
    _log(draft, done, actor, at)
    return done


def _live(now: Slot) -> dict[int, Booking]:
    """Bookings that are not over, by visit."""
    rows = Booking.objects.filter(cancelled_at__isnull=True, end_on__gte=now.day)
    return {
        row.visit_id: row
        for row in rows.select_related("visit__job").prefetch_related("visit__tasks")
        if end_of(row) >= now
    }


def _refuse_outdated(
    rows: list[DraftBooking], live: dict[int, Booking], now: Slot
) -> None:
    reasons = []
    for row in rows:
        visit, booking = row.visit, live.get(row.visit_id)
        if visit.dropped_at is not None or not visit.job.is_open:
            reasons.append(f"{visit.job} has changed since this draft was made.")
        elif start_of(row) < now and (
            booking is None or start_of(booking) != start_of(row)
        ):
            reasons.append(f"{visit.job} would have begun already, on {start_of(row)}.")
    if reasons:
        raise Refused([*dict.fromkeys(reasons), "Make a new draft."])


def _put(row: DraftBooking, actor: Person, at: datetime) -> bool:
    place = Place(row.crew_id, start_of(row), end_of(row), row.is_pinned, row.why)
    why = f"draft {row.draft_id}"
    return put_on_plan(row.visit, place, actor=actor, at=at, why=why).moved


def _let_go(booking: Booking, now: Slot, actor: Person, at: datetime) -> bool:
    """Free what the draft does not book; work that is done early only gets shorter."""
    if progress_of(booking.visit).done and start_of(booking) < now:
        return _end_before(booking, now, actor, at)
    return take_off_plan(booking.visit, why="not in the draft", actor=actor, at=at)


def _end_before(booking: Booking, now: Slot, actor: Person, at: datetime) -> bool:
    last = booking.crew_slots.filter(day__lte=now.day).order_by("day", "half")
    worked = [as_slot(row.day, row.half) for row in last]
    before = [slot for slot in worked if slot < now]
    if not before:
        return False
    place = Place(
        booking.crew_id, start_of(booking), before[-1], booking.is_pinned, booking.why
    )
    return put_on_plan(booking.visit, place, actor=actor, at=at, why="done early").moved


def _log(draft: Draft, done: Published, actor: Person, at: datetime) -> None:
    ledger.append(
        chain=ledger.FIRM_CHAIN,
        actor=actor,
        at=at,
        verb=Verb.PLAN_PUBLISHED,
        subject=draft,
        payload={
            "number": done.number,
            "moved": done.moved,
            "taken_off": done.taken_off,
        },
    )
