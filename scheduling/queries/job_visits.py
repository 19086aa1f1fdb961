"""The visits of one job, booked and not, beside how it would be cut now."""

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime

from jobs.models import Job
from scheduling.domain.visits import VisitCut
from scheduling.models import Visit
from scheduling.queries.bookings import BookingView, booking_standing, live_bookings
from scheduling.queries.cuts import JobCut
from scheduling.queries.visits import Progress, current_visits, progress_of


@dataclass(frozen=True, slots=True)
class VisitRow:
    """One visit on the job's page."""

    visit: Visit
    progress: Progress
    view: BookingView | None

    @property
    def tasks(self) -> list[str]:
        """Names of its tasks."""
        return [task.name for task in self.visit.tasks.all()]

    @property
    def takes(self) -> str:
        """How long it takes, in words."""
        sizes: dict[int, list[str]] = defaultdict(list)
        for size, halves in sorted(self.visit.halves.items()):
            sizes[halves].append(size)
        return ", ".join(
            f"{halves} half-day{'s' if halves > 1 else ''} with {' or '.join(some)}"
            + (" person" if some == ["1"] else " people")
            for halves, some in sizes.items()
        )

    @property
    def waits(self) -> list[str]:
        """What it waits for after earlier visits, in words."""
        return [
            f"{max(1, round(link['lag_hours']))} hours after visit {link['after']}"
            + (f": {link['why']}" if link["why"] else "")
            for link in self.visit.links
            if link["lag_hours"]
        ]


def visit_rows(job: Job, at: datetime) -> list[VisitRow]:
    """The job's visits with their bookings as they stand. Four queries and the holds'."""
    visits = list(current_visits([job]))
    bookings = list(live_bookings().filter(visit__in=visits))
    standing = booking_standing(bookings, at)
    views = {view.booking.visit_id: view for view in standing.values()}
    return [VisitRow(v, progress_of(v), views.get(v.pk)) for v in visits]


def is_cut_anew(rows: Sequence[VisitRow], cut: JobCut | None) -> bool:
    """Whether sequence or dimensions changed after the visits were cut."""
    now = [_now(cut, visit) for visit in cut.visits] if cut else []
    return now != [_then(row.visit) for row in rows]


Content = tuple[list[str], int]  # keys of the tasks, and their work in whole minutes


def _now(cut: JobCut, visit: VisitCut) -> Content:
    named = cut.named()
    work = sum(named[key].person_minutes for key in visit.tasks)
    return sorted(visit.tasks), round(work)


def _then(visit: Visit) -> Content:
    keys = sorted(task.key for task in visit.tasks.all())
    return keys, round(visit.person_minutes)
