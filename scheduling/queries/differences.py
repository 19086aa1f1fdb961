"""A draft beside the published plan: who moves, from when to when."""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import datetime

from django.db.models import Prefetch

from jobs.models import Firm, Job, Task
from scheduling.domain.calendar import Half, Slot
from scheduling.models import Booking, Draft, DraftBooking, Visit
from scheduling.queries.bookings import live_bookings
from scheduling.queries.calendar import calendar_between, next_slot
from scheduling.queries.slots import end_of, start_of
from scheduling.queries.visits import progress_of


@dataclass(frozen=True, slots=True)
class Spot:
    """Where a visit stands in a plan."""

    crew_id: int
    crew: str
    start: Slot
    last: Slot
    pinned: bool

    def __str__(self) -> str:
        if self.start == self.last:
            return f"{self.start}, {self.crew}"
        return f"{self.start}, to {self.last}, {self.crew}"


@dataclass(frozen=True, slots=True)
class Difference:
    """One visit in the published plan and in a draft; None where it is not booked."""

    visit: Visit
    before: Spot | None
    after: Spot | None
    why: str = ""
    halves: int = 0  # working half-days that it begins later, or else ends later

    @property
    def job(self) -> Job:
        """The job it belongs to."""
        return self.visit.job

    @property
    def is_same(self) -> bool:
        """Whether nothing changes for anybody."""
        return (
            self.before is not None
            and self.after is not None
            and (self.before.crew_id, self.before.start, self.before.last)
            == (self.after.crew_id, self.after.start, self.after.last)
        )

    @property
    def says(self) -> str:
        """What changes, in words."""
        if self.after is None:
            return "Taken off the plan"
        if self.before is None:
            return "New"
        if self.is_same:
            return "Same"
        words = ", ".join(self._changes(self.before, self.after))
        return f"{words[:1].upper()}{words[1:]}"

    def _changes(self, before: Spot, after: Spot) -> list[str]:
        changes = []
        if before.start != after.start:
            changes.append(_shift("moves", before.start, after.start, self.halves))
        elif before.last != after.last:
            changes.append(_shift("ends", before.last, after.last, self.halves))
        if before.crew_id != after.crew_id:
            changes.append(f"from {before.crew}")
        return changes


def _shift(verb: str, before: Slot, after: Slot, halves: int) -> str:
    """ "moves 2 working days later"; in days where nobody works in between."""
    later = "later" if after > before else "earlier"
    if halves:
        return f"{verb} {_working_days(abs(halves))} {later}"
    days = abs((after.day - before.day).days)
    return f"{verb} {days} day{'s' if days > 1 else ''} {later}"


def _working_days(halves: int) -> str:
    """ "half a working day", "1 working day", "1½ working days"."""
    days, odd = divmod(halves, 2)
    if not days:
        return "half a working day"
    return f"{days}{'½' if odd else ''} working day{'s' if halves > 2 else ''}"


def differences(draft: Draft, firm: Firm, at: datetime) -> list[Difference]:
    """Every visit of the draft, and what the plan books that the draft does not.

    In the order of their days. Five queries.
    """
    now = next_slot(firm, at)
    live = {row.visit_id: row for row in live_bookings().filter(end_on__gte=now.day)}
    rows = [_row(row, live) for row in _draft_rows(draft)]
    placed = {row.visit.pk for row in rows}
    rows += [
        Difference(booking.visit, _spot(booking), None)
        for pk, booking in live.items()
        if pk not in placed
        and end_of(booking) >= now
        and not progress_of(booking.visit).done
    ]
    return sorted(_counted(rows, firm), key=_first_day)


def _counted(rows: list[Difference], firm: Firm) -> list[Difference]:
    """The rows with how far each moves in half-days that the firm works."""
    pairs = {row.visit.pk: pair for row in rows if (pair := _moved(row)) is not None}
    if not pairs:
        return rows
    days = [slot.day for pair in pairs.values() for slot in pair]
    calendar = calendar_between(firm, min(days), max(days))
    by = {
        pk: calendar.index_from(after) - calendar.index_from(before)
        for pk, (before, after) in pairs.items()
    }
    return [replace(row, halves=by.get(row.visit.pk, 0)) for row in rows]


def _moved(row: Difference) -> tuple[Slot, Slot] | None:
    """From where to where it begins, or ends when it begins as before."""
    if row.before is None or row.after is None or row.is_same:
        return None
    if row.before.start != row.after.start:
        return row.before.start, row.after.start
    return row.before.last, row.after.last


def _draft_rows(draft: Draft) -> list[DraftBooking]:
    rows = draft.bookings.select_related(
        "crew", "visit__job__site", "visit__job__client"
    )
    return list(rows.prefetch_related(Prefetch("visit__tasks", Task.objects.all())))


def _row(row: DraftBooking, live: Mapping[int, Booking]) -> Difference:
    booking = live.get(row.visit_id)
    before = _spot(booking) if booking is not None else None
    return Difference(row.visit, before, _spot(row), row.why)


def _spot(row: Booking | DraftBooking) -> Spot:
    return Spot(row.crew_id, row.crew.name, start_of(row), end_of(row), row.is_pinned)


def _first_day(row: Difference) -> tuple[Slot, int]:
    spot = row.after or row.before
    return (
        spot.start if spot else Slot(row.job.created_at.date(), Half.AM),
        row.visit.pk,
    )
