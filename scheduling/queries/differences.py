"""A draft beside the published plan: who moves, from when to when."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime

from django.db.models import Prefetch

from jobs.models import Firm, Job, Task
from scheduling.domain.calendar import Half, Slot
from scheduling.models import Booking, Draft, DraftBooking, Visit
from scheduling.queries.bookings import live_bookings
from scheduling.queries.calendar import next_slot
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

    @staticmethod
    def _changes(before: Spot, after: Spot) -> list[str]:
        changes = []
        if before.start != after.start:
            changes.append(_shift("moves", before.start, after.start))
        elif before.last != after.last:
            changes.append(_shift("ends", before.last, after.last))
        if before.crew_id != after.crew_id:
            changes.append(f"from {before.crew}")
        return changes


def _shift(verb: str, before: Slot, after: Slot) -> str:
    """ "moves 2 days later", in calendar days, or half a day within one."""
    later = "later" if after > before else "earlier"
    days = abs((after.day - before.day).days)
    if days == 0:
        return f"{verb} half a day {later}"
    return f"{verb} {days} day{'s' if days > 1 else ''} {later}"


def differences(draft: Draft, firm: Firm, at: datetime) -> list[Difference]:
    """Every visit of the draft, and what the plan books that the draft does not.

    In the order of their days. Four queries.
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
    return sorted(rows, key=_first_day)


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
