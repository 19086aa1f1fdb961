"""Forecasts of jobs: what is left of each, played through."""

from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from math import log, sqrt

from jobs.domain.methods import LagKind
from jobs.domain.rates import Learned
from jobs.domain.survival import Curve
from jobs.models import Firm, Job, Task
from jobs.queries.approvals import ApprovalView, approvals_on
from jobs.queries.firm import local_day
from jobs.queries.rates import learned_on
from scheduling.domain.calendar import WorkCalendar
from scheduling.domain.forecast import (
    METHOD,
    Awaited,
    Finish,
    FirmAhead,
    JobAhead,
    TaskLeft,
    VisitLeft,
    earlier_in_crews,
    simulate,
)
from scheduling.domain.visits import Task as TimedTask
from scheduling.models import Booking, Visit
from scheduling.queries.calendar import calendar_between, minutes_per_half, next_slot
from scheduling.queries.crew_order import jobs_before
from scheduling.queries.cuts import job_cuts
from scheduling.queries.loads_ahead import LoadsAhead, loads_ahead
from scheduling.queries.rain import Rain, rain_on
from scheduling.queries.readiness import links_ready
from scheduling.queries.slots import halves_of, start_of
from scheduling.queries.visits import current_visits, progress_of

AHEAD = timedelta(days=2 * 365)  # a job that takes longer is said to end then


@dataclass(frozen=True, slots=True)
class JobForecast:
    """When a job is likely done, and what that rests on."""

    job: Job
    finish: Finish
    unbooked: int  # visits of our own crews without a booking
    approvals: tuple[ApprovalView, ...]  # still out, or not lodged
    hours_back: int  # tasks whose hours are known, of all jobs
    lost_days: int  # days lost to weather that were counted
    waits_for_loads: int  # loads, or orders still to be placed
    loads_came: int  # loads of the firm that came and had a day, of all suppliers
    loads_out: int  # such loads that are late and still out
    before: int  # visits of other jobs that its crews do first

    @property
    def chance_of_promise(self) -> int | None:
        """In how many of ten runs the promised day is kept; None without a promise."""
        if self.job.promised_on is None:
            return None
        return round(10 * self.finish.chance_by(self.job.promised_on))

    def evidence(self) -> dict[str, int]:
        """Counts to keep with the forecast."""
        return {
            "back": sum(view.times.back for view in self.approvals),
            "waiting": sum(view.times.waiting for view in self.approvals),
            "hours_back": self.hours_back,
            "lost_days": self.lost_days,
            "unbooked": self.unbooked,
            "loads_came": self.loads_came,
            "loads_out": self.loads_out,
            "before": self.before,
            "method": METHOD,
        }


@dataclass(frozen=True, slots=True)
class _Frame:
    """What the forecasts of all jobs share."""

    firm: Firm
    today: date
    calendar: WorkCalendar
    start: int  # slot index of the first half-day that may still be worked
    minutes_per_half: float
    learned: Learned
    rain: Rain
    timed: Mapping[int, Mapping[str, TimedTask]]  # by job, by task key
    loads: LoadsAhead
    approvals: Mapping[int, list[ApprovalView]]


def job_forecasts(
    jobs: Sequence[Job], firm: Firm, at: datetime
) -> dict[int, JobForecast]:
    """Forecasts of open jobs that have a visit booked and work left, by job id.

    Jobs that come before them in the order of their crews are played through with them.
    A fixed number of queries for all of them; their sites must be loaded.
    """
    before = jobs_before([job.pk for job in jobs])
    others = Job.objects.open().filter(pk__in=before).select_related("site")
    every = [*jobs, *others]
    visits: dict[int, list[Visit]] = defaultdict(list)
    for visit in current_visits(every):
        visits[visit.job_id].append(visit)
    listed = [
        job for job in every if job.is_open and any(map(_booking, visits[job.pk]))
    ]
    asked = [job for job in listed if job.pk not in before]
    if not asked:
        return {}
    frame = _frame(listed, [v for job in listed for v in visits[job.pk]], firm, at)
    played = (_ahead(job, visits[job.pk], frame) for job in listed)
    ahead = {one.key: one for one in played if one is not None}
    firm_ahead = _firm_ahead(tuple(ahead.values()), frame)
    finish, before_it = simulate(firm_ahead), earlier_in_crews(firm_ahead.jobs)
    return {
        job.pk: _forecast(job, visits[job.pk], frame, finish[job.pk], before_it[job.pk])
        for job in asked
        if job.pk in ahead
    }


def _booking(visit: Visit) -> Booking | None:
    booking: Booking | None = getattr(visit, "booking", None)
    return booking if booking and booking.cancelled_at is None else None


def _frame(
    jobs: Sequence[Job], visits: Sequence[Visit], firm: Firm, at: datetime
) -> _Frame:
    today, now = local_day(at, firm), next_slot(firm, at)
    starts = [row.start_on for row in map(_booking, visits) if row is not None]
    calendar = calendar_between(firm, min([now.day, *starts]), today + AHEAD)
    approvals: dict[int, list[ApprovalView]] = defaultdict(list)
    for view in approvals_on(today, jobs):
        if not view.standing.lets_work_start:
            approvals[view.approval.job_id].append(view)
    return _Frame(
        firm=firm,
        today=today,
        calendar=calendar,
        start=calendar.index_from(now),
        minutes_per_half=minutes_per_half(firm),
        learned=learned_on(today),
        rain=rain_on(firm, today),
        timed={pk: cut.named() for pk, cut in job_cuts(jobs, firm).items()},
        loads=loads_ahead(jobs, firm, at),
        approvals=approvals,
    )


def _firm_ahead(jobs: tuple[JobAhead, ...], frame: _Frame) -> FirmAhead:
    return FirmAhead(
        today=frame.today,
        calendar=frame.calendar,
        minutes_per_half=frame.minutes_per_half,
        jobs=jobs,
        rain=frame.rain.chances,
    )


def _open_visits(visits: Sequence[Visit]) -> list[Visit]:
    return [v for v in visits if any(t.done_at is None for t in v.tasks.all())]


def _ahead(job: Job, visits: Sequence[Visit], frame: _Frame) -> JobAhead | None:
    """What is left of a job; None when nothing is, or nobody can say how long."""
    left = _open_visits(visits)
    if not left or job.pk not in frame.timed:
        return None
    return JobAhead(
        key=job.pk,
        visits=tuple(
            _left(
                visit,
                max(_not_before(visit, frame), _waits(visit, visits, frame)),
                frame,
            )
            for visit in left
        ),
        approvals=tuple(_awaited(v, frame.today) for v in frame.approvals[job.pk]),
        loads=frame.loads.by_job[job.pk].coming,
    )


def _forecast(
    job: Job, visits: Sequence[Visit], frame: _Frame, finish: Finish, before: int
) -> JobForecast:
    left = _open_visits(visits)
    return JobForecast(
        job=job,
        finish=finish,
        unbooked=sum(not v.trade and _booking(v) is None for v in left),
        approvals=tuple(frame.approvals[job.pk]),
        hours_back=sum(map(len, frame.learned.groups.values())),
        lost_days=frame.rain.lost_days,
        waits_for_loads=len(frame.loads.by_job[job.pk].coming),
        loads_came=frame.loads.came,
        loads_out=frame.loads.out,
        before=before,
    )


def _awaited(view: ApprovalView, today: date) -> Awaited:
    """What they told us is taken at its word; what is not lodged is lodged today."""
    if view.range is not None and view.range.told:
        days = (view.range.likely - today).days
        return Awaited(Curve((*[1.0] * days, 0.0)))
    return Awaited(view.times.curve, -1 if view.waited is None else view.waited)


def _left(visit: Visit, not_before: int, frame: _Frame) -> VisitLeft:
    timed = frame.timed[visit.job_id]
    tasks = [task for task in visit.tasks.all() if task.done_at is None]
    people = _people(visit, frame.calendar)
    booking = _booking(visit)
    planned = frame.calendar.index_from(start_of(booking)) if booking else not_before
    return VisitLeft(
        ordinal=visit.ordinal,
        tasks=tuple(
            _task_left(task, timed[task.key], people, frame.learned)
            for task in tasks
            if task.key in timed
        ),
        not_before=not_before,
        links=tuple(
            (link["after"], link["lag_hours"], LagKind(link["lag_kind"]))
            for link in visit.links
        ),
        stops_in_rain=visit.stops_in_rain,
        crew=booking.crew_id if booking else None,
        planned=planned,
        loads=frame.loads.by_job[visit.job_id].for_tasks({task.pk for task in tasks}),
    )


def _people(visit: Visit, calendar: WorkCalendar) -> int:
    """People the booking reckons with, from how long it is; else the fewest."""
    booking = _booking(visit)
    sizes = sorted((int(size), halves) for size, halves in visit.halves.items())
    if booking is not None:
        length = len(halves_of(booking, calendar))
        return next((size for size, halves in sizes if halves <= length), sizes[0][0])
    return sizes[0][0]


def _task_left(task: Task, timed: TimedTask, people: int, learned: Learned) -> TaskLeft:
    believed = learned.about(task.kind)
    structure = learned.structure
    return TaskLeft(
        minutes=timed.minutes(people),
        # What is believed is about the library's rate; the task has its own factor.
        shift=believed.estimate - log(task.rate_factor),
        unsure=sqrt(structure.between * (1 - believed.trust)),
        spread=sqrt(structure.within),
    )


def _waits(visit: Visit, visits: Sequence[Visit], frame: _Frame) -> int:
    """Slot index after what still cures of visits that are done."""
    done = {other.ordinal: progress_of(other) for other in visits}
    ready = links_ready(visit, done, frame.firm, frame.calendar)
    return max((frame.calendar.index_from(one.first) for one in ready), default=0)


def _not_before(visit: Visit, frame: _Frame) -> int:
    calendar, booking = frame.calendar, _booking(visit)
    begun = any(task.started_at is not None for task in visit.tasks.all())
    found = [frame.start]
    if booking is not None and not begun:
        found.append(calendar.index_from(start_of(booking)))
    return max(found)
