"""Forecasts of jobs: what is left of each, played through."""

from collections import Counter, defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from math import log, sqrt

from django.db.models import Min

from jobs.domain.methods import LagKind
from jobs.domain.rates import Learned
from jobs.domain.survival import Curve
from jobs.models import Firm, Job, Task
from jobs.queries.approvals import ApprovalView, approvals_on
from jobs.queries.firm import local_day
from jobs.queries.rates import learned_on
from scheduling.domain.calendar import WorkCalendar
from scheduling.domain.forecast import (
    RAIN_ALLOWANCE,
    Awaited,
    Finish,
    JobAhead,
    TaskLeft,
    VisitLeft,
    rain_chances,
    simulate,
)
from scheduling.domain.problem import Ready
from scheduling.domain.visits import Task as TimedTask
from scheduling.models import Booking, LostDay, Visit
from scheduling.queries.calendar import calendar_between, minutes_per_half, next_slot
from scheduling.queries.cuts import job_cuts
from scheduling.queries.plan_choice import plan_choice
from scheduling.queries.readiness import links_ready, materials_ready
from scheduling.queries.slots import halves_of, start_of
from scheduling.queries.visits import current_visits, progress_of

AHEAD = timedelta(days=2 * 365)  # a job that takes longer is said to end then
RAIN_LOOKED_BACK = timedelta(days=3 * 365)


@dataclass(frozen=True, slots=True)
class JobForecast:
    """When a job is likely done, and what that rests on."""

    job: Job
    finish: Finish
    unbooked: int  # visits of our own crews without a booking
    approvals: tuple[ApprovalView, ...]  # still out, or not lodged
    hours_back: int  # tasks whose hours are known, of all jobs
    lost_days: int  # days lost to weather that were counted

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
        }


@dataclass(frozen=True, slots=True)
class _Rain:
    chances: tuple[float, ...]
    lost_days: int


@dataclass(frozen=True, slots=True)
class _Frame:
    """What the forecasts of all jobs share."""

    firm: Firm
    today: date
    calendar: WorkCalendar
    start: int  # slot index of the first half-day that may still be worked
    minutes_per_half: float
    learned: Learned
    rain: _Rain
    timed: Mapping[int, Mapping[str, TimedTask]]  # by job, by task key
    materials: Mapping[int, list[tuple[Ready, frozenset[int]]]]
    approvals: Mapping[int, list[ApprovalView]]


def job_forecasts(
    jobs: Sequence[Job], firm: Firm, at: datetime
) -> dict[int, JobForecast]:
    """Forecasts of open jobs that have a visit booked and work left, by job id.

    A fixed number of queries for all of them; their sites must be loaded.
    """
    visits: dict[int, list[Visit]] = defaultdict(list)
    for visit in current_visits(jobs):
        visits[visit.job_id].append(visit)
    listed = [job for job in jobs if job.is_open and any(map(_booking, visits[job.pk]))]
    if not listed:
        return {}
    frame = _frame(listed, [v for job in listed for v in visits[job.pk]], firm, at)
    found = (_forecast(job, visits[job.pk], frame) for job in listed)
    return {one.job.pk: one for one in found if one is not None}


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
        materials=materials_ready(jobs, at, calendar),
        approvals=approvals,
    )


def rain_on(firm: Firm, today: date) -> _Rain:
    """Chances of a day lost to weather by month, as known on a day. Four queries.

    A day called off for one job counts like one called off for all, which is a little
    gloomy.
    """
    opened = Job.objects.aggregate(first=Min("created_at"))["first"]
    since = local_day(opened, firm) if opened else today
    first = max(since, today - RAIN_LOOKED_BACK)
    rows = LostDay.objects.filter(cancelled_at__isnull=True, day__range=(first, today))
    lost = Counter(day.month for day in set(rows.values_list("day", flat=True)))
    calendar = calendar_between(firm, first, today)
    worked = Counter(day.month for day in {slot.day for slot in calendar.slots})
    said = plan_choice().rain
    allowed = [n / 100 for n in said] if any(said) else [RAIN_ALLOWANCE] * 12
    return _Rain(rain_chances(worked, lost, allowed), lost.total())


def _forecast(job: Job, visits: Sequence[Visit], frame: _Frame) -> JobForecast | None:
    open_visits = [v for v in visits if any(t.done_at is None for t in v.tasks.all())]
    if not open_visits or job.pk not in frame.timed:
        return None
    approvals = tuple(frame.approvals[job.pk])
    ahead = JobAhead(
        today=frame.today,
        calendar=frame.calendar,
        minutes_per_half=frame.minutes_per_half,
        visits=tuple(
            _left(
                visit,
                max(_not_before(visit, frame), _waits(visit, visits, frame)),
                frame,
            )
            for visit in open_visits
        ),
        approvals=tuple(_awaited(view, frame.today) for view in approvals),
        rain=frame.rain.chances,
    )
    return JobForecast(
        job=job,
        finish=simulate(ahead),
        unbooked=sum(not v.trade and _booking(v) is None for v in open_visits),
        approvals=approvals,
        hours_back=sum(map(len, frame.learned.groups.values())),
        lost_days=frame.rain.lost_days,
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
    open_tasks = {task.pk for task in visit.tasks.all() if task.done_at is None}
    calendar, booking = frame.calendar, _booking(visit)
    begun = any(task.started_at is not None for task in visit.tasks.all())
    found = [frame.start]
    if booking is not None and not begun:
        found.append(calendar.index_from(start_of(booking)))
    found += [
        calendar.index_from(ready.first)
        for ready, tasks in frame.materials.get(visit.job_id, [])
        if tasks & open_tasks
    ]
    return max(found)
