"""The day on site of one job: who, what, and what was said about it."""

from collections.abc import Container, Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date, datetime

from jobs.models import Firm, Job, Person, Task
from safety.domain.daily import Question, questions
from safety.domain.statement import Content
from safety.domain.wording import names_apart
from safety.models import Attendance, SignOn, Statement
from safety.queries.days_work import task_minutes_at
from safety.queries.hold_points import last_measurements, spec_of
from safety.queries.work import day_limits
from scheduling.models import PersonSlot

SERIOUS = 4  # consequence, of 5, from which a control is asked after; firm's decision


@dataclass(frozen=True, slots=True)
class PersonToday:
    """One person of the day, whether they signed on, and whether they started work."""

    person: Person
    booked: bool
    signed: SignOn | None
    attendance: Attendance | None

    @property
    def expected(self) -> bool:
        """Whether they are booked that day, or have started already."""
        return self.booked or self.attendance is not None


@dataclass(frozen=True, slots=True)
class TaskToday:
    """One task of the day with the state of its hold point, and whether it is held.

    ``number`` is that of the step in the statement: of the tasks that are called for.
    """

    task: Task
    number: int
    has_hold_point: bool = False
    measured: bool = False  # the last measurement passed
    failed: bool = False  # the last measurement did not
    held: bool = False  # some hold stops it: this hold point, the wind, a delivery
    points: Sequence[str] = ()  # of hold points before it that nobody has come to yet
    after: Sequence[str] = ()  # names of tasks it comes after that are not done

    @property
    def is_early(self) -> bool:
        """Whether something speaks against starting it now."""
        return self.held or bool(self.after)

    @property
    def after_words(self) -> str:
        """Those tasks, as words of a sentence."""
        return names_apart(self.after)


@dataclass(frozen=True, slots=True)
class Before:
    """What comes before tasks and is not done, by task id."""

    points: Mapping[int, Sequence[str]] = field(default_factory=dict)
    tasks: Mapping[int, Sequence[str]] = field(default_factory=dict)


_NOTHING_BEFORE = Before()


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


def step_numbers_at(job: Job, at: datetime) -> dict[str, int]:
    """Numbers of the steps as the statement counts them, by task key. One query."""
    return {key: n for n, key in enumerate(task_minutes_at([job], at)[job.pk], start=1)}


def with_hold_points(
    tasks: Sequence[Task],
    at: datetime,
    numbers: Mapping[str, int],
    held: Container[int] = (),
    before: Before = _NOTHING_BEFORE,
) -> list[TaskToday]:
    """Tasks with their numbers and the state of their hold points. One query.

    ``held`` are ids of tasks that some hold stops.
    """
    points = {task.pk for task in tasks if spec_of(task) is not None}
    last = last_measurements(points, at)
    return [
        TaskToday(
            task=task,
            number=numbers.get(task.key, task.position),
            has_hold_point=task.pk in points,
            measured=task.pk in last and last[task.pk].passed,
            failed=task.pk in last and not last[task.pk].passed,
            held=task.pk in held,
            points=before.points.get(task.pk, ()),
            after=before.tasks.get(task.pk, ()),
        )
        for task in tasks
    ]


def done_today(job: Job, day: date, firm: Firm) -> list[Task]:
    """Tasks done that day. One query."""
    start, end = day_limits(day, firm)
    rows = Task.objects.filter(job=job, done_at__gte=start, done_at__lt=end)
    return list(rows.select_related("done_by").order_by("done_at", "pk"))


def questions_about(
    statement: Statement | None, tasks: Iterable[Task]
) -> tuple[Question, ...]:
    """What the daily check asks: people, weather, access, and the steps' controls.

    Asked is the strongest control, that asks something, of each hazard that could injure
    badly or kill before anything is done; the others are in the statement. A list that
    nobody has the time to read would be ticked unread. Without a statement in force only
    the general questions. At most one query.
    """
    if statement is None:
        return questions({"steps": []}, ())
    return questions(_serious(statement.content), [task.key for task in tasks])


def _serious(content: Content) -> Content:
    steps = [
        {
            **step,
            "lines": [_first_to_ask(row) for row in step["lines"] if _is_serious(row)],
        }
        for step in content["steps"]
    ]
    return {**content, "steps": steps}


def _is_serious(line: Content) -> bool:
    return int(line["initial"]["consequence"]) >= SERIOUS


def _first_to_ask(line: Content) -> Content:
    asking = [control for control in line["controls"] if control["ask"]]
    return {**line, "controls": asking[:1]}


def people_who_may_start(
    job: Job, statement: Statement | None, day: date, at: datetime
) -> tuple[list[Person], list[Person]]:
    """People of the day who have not started, and others of the crews. Four queries."""
    known = people_today(job, statement, day, at)
    first = [one.person for one in known if one.attendance is None]
    seen = [one.person.pk for one in known]
    others = Person.objects.filter(is_active=True, is_crew=True).exclude(pk__in=seen)
    return first, list(others)


def wind_limits(tasks: Iterable[Task]) -> list[tuple[str, float]]:
    """Names and wind limits (m/s) of tasks that have one, the lowest first. No query."""
    limits = [
        (task.name, float(limit))
        for task in tasks
        if (limit := task.spec.get("wind_limit_ms")) is not None
    ]
    return sorted(limits, key=lambda pair: pair[1])
