"""What is to be done on a day: what there is room for, and what comes after."""

from collections import Counter, defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime

from django.db.models import Exists, F, OuterRef

from jobs.domain.durations import HALF_DAY_MINUTES
from jobs.models import FactsRevision, Job, Task
from jobs.queries.firm import the_firm
from safety.queries.work import booked_tasks, day_limits, tasks_left
from scheduling.models import PersonSlot

LOOK_AHEAD = 4  # tasks shown as next when the job is not booked that day


@dataclass(frozen=True, slots=True)
class DaysWork:
    """What is left to do: what the day has room for, and what comes after."""

    today: tuple[Task, ...] = ()
    later: tuple[Task, ...] = ()

    def chosen(self, pks: Iterable[int]) -> tuple[Task, ...]:
        """Those of all that is left with these ids, in order."""
        wanted = set(pks)
        return tuple(task for task in (*self.today, *self.later) if task.pk in wanted)


def days_work(job: Job, day: date, at: datetime) -> DaysWork:
    """Tasks of one job for the day. At most five queries."""
    return days_work_of([job], day, at)[job.pk]


def days_work_of(jobs: Iterable[Job], day: date, at: datetime) -> dict[int, DaysWork]:
    """Tasks for the day by job id: of the visit booked, as many as there is time for.

    What was done already that day has used some of the time. Where nobody is booked, the
    next few that are left. Started tasks are always there; tasks that the dimensions do
    not call for never. At most five queries.
    """
    listed = list(jobs)
    minutes = task_minutes_at(listed, at)
    booked = booked_tasks(listed, day, at)
    rest = tasks_left([job for job in listed if job.pk not in booked], at)
    room = _room(listed, day, minutes)
    found = {}
    for job in listed:
        of_job = minutes[job.pk]
        left = booked.get(job.pk) or rest.get(job.pk, [])
        wanted = [task for task in left if not of_job or task.key in of_job]
        found[job.pk] = (
            _fitted(wanted, of_job, room[job.pk])
            if job.pk in booked
            else DaysWork(tuple(wanted[:LOOK_AHEAD]), tuple(wanted[LOOK_AHEAD:]))
        )
    return found


def _fitted(
    wanted: Sequence[Task], minutes: Mapping[str, float], available: float
) -> DaysWork:
    """Tasks in order until the people's time is used up; at least one."""
    today: list[Task] = []
    later: list[Task] = []
    used = 0.0
    for task in wanted:
        if task.started_at is not None or not today or used < available:
            today.append(task)
            used += minutes.get(task.key, 0.0)
        else:
            later.append(task)
    return DaysWork(tuple(today), tuple(later))


def _room(
    jobs: Sequence[Job], day: date, minutes: Mapping[int, Mapping[str, float]]
) -> dict[int, float]:
    """Person-minutes booked that day less those of what is done, by job id."""
    slots = PersonSlot.objects.filter(
        booking__visit__job__in=jobs, booking__cancelled_at__isnull=True, day=day
    )
    halves = Counter(slots.values_list(F("booking__visit__job"), flat=True))
    start, end = day_limits(day, the_firm())
    done = Task.objects.filter(job__in=jobs, done_at__gte=start, done_at__lt=end)
    spent: dict[int, float] = defaultdict(float)
    for job_id, key in done.values_list("job_id", "key"):
        spent[job_id] += minutes[job_id].get(key, 0.0)
    return {job.pk: halves[job.pk] * HALF_DAY_MINUTES - spent[job.pk] for job in jobs}


def task_minutes_at(jobs: Iterable[Job], at: datetime) -> dict[int, dict[str, float]]:
    """Person-minutes of the tasks that the facts call for, by job id and key. One query.

    Empty for a job whose facts are not known yet.
    """
    listed = list(jobs)
    later = FactsRevision.objects.filter(
        job=OuterRef("job"), number__gt=OuterRef("number"), at__lte=at
    )
    rows = FactsRevision.objects.filter(~Exists(later), job__in=listed, at__lte=at)
    found: dict[int, dict[str, float]] = {job.pk: {} for job in listed}
    for job_id, facts in rows.values_list("job_id", "facts"):
        found[job_id] = {task["key"]: task["person_minutes"] for task in facts["tasks"]}
    return found
