"""The published plan as the engine takes a plan: what its answers are read off.

A job counts for the engine when all of its visits are in the plan. The one that is asked
about keeps all its visits; of every other job only what is booked is kept, so that its
crews are busy then. A visit of another trade has no booking: it is put where it could be
soonest after what it waits for.
"""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from datetime import datetime

from jobs.models import Firm
from jobs.models import Job as JobRow
from scheduling.domain.calendar import WorkCalendar
from scheduling.domain.problem import Job, Problem, Published, Visit
from scheduling.domain.solution import Booking
from scheduling.models import Visit as VisitRow
from scheduling.queries.problem import load_problem, open_jobs
from scheduling.queries.slots import end_of


@dataclass(frozen=True, slots=True)
class StandingPlan:
    """A problem, where its visits lie, and the rows behind the visits."""

    problem: Problem
    bookings: tuple[Booking, ...]
    visits: Mapping[int, VisitRow]
    begun: frozenset[int]  # visits on site now

    def asked(self, job_id: int) -> Job | None:
        """The job as the engine knows it; None when nothing of it is left to plan."""
        return next((job for job in self.problem.jobs if job.key == job_id), None)

    def lies(self, job_id: int) -> list[Booking]:
        """Where the job's visits lie, in the order of their days."""
        mine = (row for row in self.bookings if row.job == job_id)
        return sorted(mine, key=lambda row: (row.start, row.visit))


def standing_plan(job: JobRow | None, firm: Firm, at: datetime) -> StandingPlan:
    """All open jobs as they are booked, around one when there is one.

    The queries of loading a problem.
    """
    asked = None if job is None else job.pk
    loaded = load_problem(open_jobs(), firm, at)
    problem = loaded.problem
    booked = {row.visit: row for row in problem.published}
    jobs = tuple(
        one if one.key == asked else _only(one, booked) for one in problem.jobs
    )
    kept = tuple(one for one in jobs if one.visits)
    known = {visit.key for one in kept for visit in one.visits}
    around = replace(
        problem,
        jobs=kept,
        pins=tuple(pin for pin in problem.pins if pin.visit in known),
    )
    found = tuple(
        row for one in kept for row in _lies(one, booked, loaded.visits, around)
    )
    return StandingPlan(around, found, loaded.visits, frozenset(loaded.begun))


def _only(job: Job, booked: Mapping[int, Published]) -> Job:
    """The job less the visits that are not in the plan."""
    return replace(
        job,
        visits=tuple(
            replace(visit, after=tuple(a for a in visit.after if a.visit in booked))
            for visit in job.visits
            if visit.key in booked
        ),
    )


def _lies(
    job: Job,
    booked: Mapping[int, Published],
    rows: Mapping[int, VisitRow],
    problem: Problem,
) -> Iterator[Booking]:
    ends: dict[int, int] = {}  # exclusive, by visit
    for visit in job.visits:
        published = booked.get(visit.key)
        span = (
            _booked_span(published, rows[visit.key], problem.calendar)
            if published is not None
            else _free_span(job, visit, ends, problem.calendar)
        )
        if span is None:
            continue
        ends[visit.key] = span.stop
        yield Booking(
            visit=visit.key,
            job=job.key,
            crew=published.crew if published is not None else None,
            start=problem.calendar.slot(span.start),
            last=problem.calendar.slot(span.stop - 1),
            halves=len(span),
            tentative=job.tentative,
            why="",
        )


def _booked_span(
    published: Published, row: VisitRow, calendar: WorkCalendar
) -> range | None:
    first = calendar.index(published.start)
    last = calendar.index_after(end_of(row.booking))
    return None if first is None or last <= first else range(first, last)


def _free_span(
    job: Job, visit: Visit, ends: Mapping[int, int], calendar: WorkCalendar
) -> range | None:
    """Where a visit without a crew could be soonest; None when it needs one."""
    if visit.needs_crew or any(link.visit not in ends for link in visit.after):
        return None
    after = [
        calendar.after_lag(ends[link.visit], link.lag_hours, link.lag_kind)
        for link in visit.after
    ]
    ready = [calendar.index_from(wait.first) for wait in (*job.ready, *visit.ready)]
    first = max([*after, *ready, 0])
    last = first + min(visit.halves.values())
    return range(first, last) if last <= len(calendar) else None
