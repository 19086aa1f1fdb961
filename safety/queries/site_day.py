"""The day on site of one job: who, what, and what was said about it."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, datetime

from jobs.models import FactsRevision, Firm, Job, Person, Task
from safety.domain.daily import Question, questions
from safety.models import Attendance, SignOn, Statement
from safety.queries.hold_points import last_measurements, spec_of
from safety.queries.work import booked_tasks, day_limits, tasks_left
from scheduling.models import PersonSlot

LOOK_AHEAD = 4  # tasks shown as next when the job is not booked that day


@dataclass(frozen=True, slots=True)
class PersonToday:
    """One person of the day, whether they signed on, and whether they started work."""

    person: Person
    booked: bool
    signed: SignOn | None
    attendance: Attendance | None


@dataclass(frozen=True, slots=True)
class TaskToday:
    """One task of the day with the state of its hold point."""

    task: Task
    has_hold_point: bool
    measured: bool  # the last measurement passed
    failed: bool  # the last measurement did not


def people_today(
    job: Job, statement: Statement | None, day: date, at: datetime
) -> list[PersonToday]:
    """People booked, at work, or leading the site that day, by name. Three queries."""
    booked = _booked(job, day)
    rows = Attendance.objects.filter(
        job=job, day=day, device_at__lte=at, taken_back_at__isnull=True
    ).select_related("person")
    here = {row.person_id: row for row in rows}
    people = {**booked, **{pk: row.person for pk, row in here.items()}}
    if job.site_lead is not None:
        people.setdefault(job.site_lead.pk, job.site_lead)
    signed = _signed(statement, at)
    listed = [
        PersonToday(person, pk in booked, signed.get(pk), here.get(pk))
        for pk, person in people.items()
    ]
    return sorted(listed, key=lambda one: (one.person.name, one.person.pk))


def _booked(job: Job, day: date) -> dict[int, Person]:
    slots = PersonSlot.objects.filter(
        booking__visit__job=job,
        booking__cancelled_at__isnull=True,
        day=day,
        person__is_active=True,
    ).select_related("person")
    return {slot.person_id: slot.person for slot in slots}


def _signed(statement: Statement | None, at: datetime) -> dict[int, SignOn]:
    rows = SignOn.objects.filter(statement=statement, device_at__lte=at)
    return {row.person_id: row for row in rows}


def tasks_today(job: Job, day: date, at: datetime) -> list[Task]:
    """Tasks for the day: those of the visit booked, or the next that are left to do.

    Tasks that the dimensions do not call for are left out. At most three queries.
    """
    called_for = task_keys_at(job, at)
    booked = booked_tasks([job], day, at).get(job.pk)
    left = booked or tasks_left([job], at).get(job.pk, [])
    wanted = [task for task in left if called_for is None or task.key in called_for]
    return wanted if booked else wanted[:LOOK_AHEAD]


def task_keys_at(job: Job, at: datetime) -> frozenset[str] | None:
    """Keys of the tasks that the facts call for; None before they are known. One query."""
    rows = FactsRevision.objects.filter(job=job, at__lte=at).order_by("-number")
    facts = rows.values_list("facts", flat=True).first()
    return None if facts is None else frozenset(task["key"] for task in facts["tasks"])


def with_hold_points(tasks: Sequence[Task], at: datetime) -> list[TaskToday]:
    """Tasks with the state of their hold points. One query."""
    points = {task.pk for task in tasks if spec_of(task) is not None}
    last = last_measurements(points, at)
    return [
        TaskToday(
            task=task,
            has_hold_point=task.pk in points,
            measured=task.pk in last and last[task.pk].passed,
            failed=task.pk in last and not last[task.pk].passed,
        )
        for task in tasks
    ]


def done_today(job: Job, day: date, firm: Firm) -> list[Task]:
    """Tasks done that day. One query."""
    start, end = day_limits(day, firm)
    rows = Task.objects.filter(job=job, done_at__gte=start, done_at__lt=end)
    return list(rows.select_related("done_by").order_by("done_at", "pk"))


def questions_today(
    job: Job, statement: Statement | None, day: date, at: datetime
) -> tuple[Question, ...]:
    """What the daily check asks: people, weather, access, and today's controls.

    Without a statement in force only the general questions. At most four queries.
    """
    if statement is None:
        return questions({"steps": []}, ())
    keys = [task.key for task in tasks_today(job, day, at)]
    return questions(statement.content, keys)


def people_who_may_start(
    job: Job, statement: Statement | None, day: date, at: datetime
) -> list[Person]:
    """People of the day who have not started, then others of the crews. Four queries."""
    known = people_today(job, statement, day, at)
    first = [one.person for one in known if one.attendance is None]
    seen = [one.person.pk for one in known]
    others = Person.objects.filter(is_active=True, is_crew=True).exclude(pk__in=seen)
    return [*first, *others]


def wind_limits(tasks: Iterable[Task]) -> list[tuple[str, float]]:
    """Names and wind limits (m/s) of tasks that have one, the lowest first. No query."""
    limits = [
        (task.name, float(limit))
        for task in tasks
        if (limit := task.spec.get("wind_limit_ms")) is not None
    ]
    return sorted(limits, key=lambda pair: pair[1])
