"""Who is booked and who works where on a day, as recorded at a moment, for many jobs."""

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass, field
from datetime import date, datetime, time, timedelta
from zoneinfo import ZoneInfo

from django.db.models import F, Min, Q, QuerySet

from jobs.models import Firm, Job, Task
from safety.models import Attendance
from scheduling.models import CrewSlot, LostDay, PersonSlot

SIGN_ON_AHEAD = timedelta(days=7)  # firm's decision: how early a sign-on is chased


@dataclass(frozen=True, slots=True)
class DayOfWork:
    """People of one job on one day: id and name."""

    day: date
    people: dict[int, str] = field(default_factory=dict)


def day_limits(day: date, firm: Firm) -> tuple[datetime, datetime]:
    """The first moment of a local day and of the next."""
    zone = ZoneInfo(firm.time_zone)
    start = datetime.combine(day, time.min, zone)
    return start, datetime.combine(day + timedelta(days=1), time.min, zone)


def at_work(jobs: Iterable[Job], day: date, at: datetime) -> dict[int, dict[int, str]]:
    """People who had started work on a day, by job id: their ids and names. One query."""
    rows = attended(at).filter(job__in=list(jobs), day=day)
    found: dict[int, dict[int, str]] = defaultdict(dict)
    for job_id, person_id, name in rows.values_list(
        "job_id", "person_id", "person__name"
    ):
        found[job_id][person_id] = name
    return found


def attended(at: datetime) -> QuerySet[Attendance]:
    """Attendance as recorded at a moment, without what was taken back by then."""
    return Attendance.objects.filter(
        Q(taken_back_at__isnull=True) | Q(taken_back_at__gt=at), device_at__lte=at
    )


def next_day_booked(
    jobs: Iterable[Job], first: date, last: date
) -> dict[int, DayOfWork]:
    """The next booked day of each job in a span, with its people. One query."""
    rows = PersonSlot.objects.filter(
        booking__visit__job__in=list(jobs),
        booking__cancelled_at__isnull=True,
        day__range=(first, last),
        person__is_active=True,
    ).order_by("day", "person__name")
    found: dict[int, DayOfWork] = {}
    for job_id, day, person_id, name in rows.values_list(
        F("booking__visit__job"), "day", "person_id", "person__name"
    ):
        work = found.setdefault(job_id, DayOfWork(day))
        if work.day == day:
            work.people[person_id] = name
    return found


def booked_on(jobs: Iterable[Job], day: date) -> set[int]:
    """Ids of jobs that a crew is booked on that day. One query."""
    rows = CrewSlot.objects.filter(
        day=day, booking__visit__job__in=list(jobs), booking__cancelled_at__isnull=True
    )
    return set(rows.values_list("booking__visit__job", flat=True))


def called_off_on(jobs: Iterable[Job], day: date, at: datetime) -> set[int]:
    """Ids of jobs whose day was called off for weather by a moment. One query."""
    listed = list(jobs)
    rows = LostDay.objects.filter(
        Q(cancelled_at__isnull=True) | Q(cancelled_at__gt=at),
        Q(job__isnull=True) | Q(job__in=listed),
        day=day,
        recorded_at__lte=at,
    )
    lost = set(rows.values_list("job_id", flat=True))
    return {job.pk for job in listed} if None in lost else lost


def tasks_moved_on(
    jobs: Iterable[Job], day: date, at: datetime, firm: Firm
) -> set[int]:
    """Ids of jobs with a task started or done that day by a moment. One query."""
    start, end = day_limits(day, firm)
    end = min(end, at)
    rows = Task.objects.filter(
        Q(started_at__gte=start, started_at__lte=end)
        | Q(done_at__gte=start, done_at__lte=end),
        job__in=list(jobs),
    )
    return set(rows.values_list("job_id", flat=True))


def tasks_of_day(jobs: Iterable[Job], day: date, at: datetime) -> dict[int, list[Task]]:
    """Tasks to be done on a day, by job id: those of the visits booked then.

    For a job that is not booked that day, all that is left to do. Done tasks are left
    out. Two queries.
    """
    listed = list(jobs)
    found = booked_tasks(listed, day, at)
    others = [job for job in listed if job.pk not in found]
    return found | tasks_left(others, at)


def booked_tasks(jobs: Iterable[Job], day: date, at: datetime) -> dict[int, list[Task]]:
    """Tasks of the visits booked on a day and not done, by job id. One query."""
    rows = _not_done(at).filter(
        job__in=list(jobs),
        visits__dropped_at__isnull=True,
        visits__booking__cancelled_at__isnull=True,
        visits__booking__start_on__lte=day,
        visits__booking__end_on__gte=day,
    )
    return _by_job(rows.distinct())


def tasks_ahead(
    jobs: Iterable[Job], first: date, last: date, at: datetime
) -> dict[int, list[tuple[Task, date]]]:
    """Tasks not done of visits booked in a span, by job id, in order. One query.

    Each with its first day of the booking, or ``first`` when that has begun before.
    """
    rows = _not_done(at).filter(
        job__in=list(jobs),
        visits__dropped_at__isnull=True,
        visits__booking__cancelled_at__isnull=True,
        visits__booking__start_on__lte=last,
        visits__booking__end_on__gte=first,
    )
    rows = rows.annotate(begins=Min("visits__booking__start_on"))
    found: dict[int, list[tuple[Task, date]]] = defaultdict(list)
    for task in rows.order_by("job", "position", "pk"):
        found[task.job_id].append((task, max(task.begins, first)))
    return dict(found)


def tasks_left(jobs: Iterable[Job], at: datetime) -> dict[int, list[Task]]:
    """Tasks not done at a moment, by job id, in order. One query."""
    return _by_job(_not_done(at).filter(job__in=list(jobs)))


def _not_done(at: datetime) -> QuerySet[Task]:
    return Task.objects.filter(Q(done_at__isnull=True) | Q(done_at__gt=at))


def _by_job(rows: QuerySet[Task]) -> dict[int, list[Task]]:
    found: dict[int, list[Task]] = defaultdict(list)
    for task in rows.order_by("job", "position", "pk"):
        found[task.job_id].append(task)
    return dict(found)
