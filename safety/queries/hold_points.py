"""Hold points of many jobs, measured or not, as recorded at a moment."""

from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime

from django.db.models import F, Q

from jobs.domain.methods import HoldPointSpec
from jobs.domain.refusals import Refused
from jobs.models import Job, Task, TaskLink
from jobs.queries.handover import Kind, LeftOpen
from safety.domain.measuring import Expected, Reading, measured
from safety.models import Measurement
from safety.queries.days_work import task_minutes_at


@dataclass(frozen=True, slots=True)
class HoldPoint:
    """A hold point of one task, with the measurement that counts and what waits for it."""

    task: Task
    spec: HoldPointSpec
    last: Measurement | None
    waiting: tuple[Task, ...]  # tasks that follow it, not done before that moment

    @property
    def passed(self) -> bool:
        """Whether work may go past it."""
        return self.last is not None and self.last.passed


def spec_of(task: Task) -> HoldPointSpec | None:
    """The hold point of a task's row, None when it has none."""
    point = task.spec.get("hold_point")
    return HoldPointSpec(**point) if point else None


def hold_points_at(jobs: Iterable[Job], at: datetime) -> list[HoldPoint]:
    """Every hold point of jobs whose work has begun. Four queries."""
    return hold_points_in(_begun(jobs, at), at)


def hold_points_in(job_ids: Sequence[int], at: datetime) -> list[HoldPoint]:
    """Every hold point of these jobs, by id, begun or not. Three queries."""
    tasks = list(Task.objects.filter(job__in=job_ids).order_by("job", "position", "pk"))
    by_pk = {task.pk: task for task in tasks}
    links = TaskLink.objects.filter(successor__job__in=job_ids).order_by()
    after: dict[int, list[int]] = defaultdict(list)
    for before, successor in links.values_list("predecessor_id", "successor_id"):
        after[before].append(successor)
    points = {task.pk: spec for task in tasks if (spec := spec_of(task)) is not None}
    last = last_measurements(points, at)
    return [
        HoldPoint(
            by_pk[pk],
            spec,
            last.get(pk),
            tuple(
                by_pk[follower]
                for follower in sorted(_following(pk, after))
                if follower in by_pk and not _done_before(by_pk[follower], at)
            ),
        )
        for pk, spec in points.items()
    ]


def last_measurements(
    task_ids: Iterable[int], at: datetime | F
) -> dict[int, Measurement]:
    """The measurement that counts at a moment, by task id. One query.

    ``at`` may be a column that says when, seen from a measurement.
    """
    rows = (
        Measurement.objects.filter(task__in=list(task_ids), device_at__lte=at)
        .select_related("measured_by")
        .order_by("device_at", "at", "pk")
    )
    return {row.task_id: row for row in rows}


def waits_to_be_measured(task: Task, at: datetime) -> bool:
    """Whether it ends in a hold point that is not passed. At most one query."""
    if spec_of(task) is None:
        return False
    last = last_measurements([task.pk], at).get(task.pk)
    return last is None or not last.passed


def _begun(jobs: Iterable[Job], at: datetime) -> list[int]:
    rows = Task.objects.filter(
        Q(started_at__lte=at) | Q(done_at__lte=at) | Q(measurements__device_at__lte=at),
        job__in=list(jobs),
    )
    return list(rows.values_list("job_id", flat=True).distinct().order_by("job_id"))


def _following(pk: int, after: Mapping[int, list[int]]) -> set[int]:
    """All tasks that come after one, however far down the line."""
    found: set[int] = set()
    ahead = [pk]
    while ahead:
        for follower in after.get(ahead.pop(), ()):
            if follower not in found:
                found.add(follower)
                ahead.append(follower)
    return found


def _done_before(task: Task, at: datetime) -> bool:
    return task.done_at is not None and task.done_at < at


def measurements_of(task: Task) -> list[Measurement]:
    """All measurements of a hold point, the last first. One query."""
    rows = Measurement.objects.filter(task=task).select_related("measured_by")
    return list(rows.order_by("-device_at", "-pk"))


def readings_of(row: Measurement, asked: Sequence[Reading]) -> list[tuple[str, float]]:
    """The readings of a measurement by their labels, as they are asked now. No query."""
    labels = {reading.name: reading.label for reading in asked}
    return [(labels.get(name, ""), value) for name, value in row.values.items()]


def aside_of(
    spec: HoldPointSpec, row: Measurement, expected: Sequence[Expected]
) -> str:
    """The caution beside a measurement, by the set-out figures of now. No query.

    Empty where there is none, or where the readings are not those asked for now.
    """
    try:
        return measured(
            spec, row.values, expected=expected, looks_right=row.passed
        ).aside
    except Refused:
        return ""


def left_at_handover(job: Job, at: datetime) -> Iterator[LeftOpen]:
    """Hold points that are not passed, for the form that closes a job. Three queries."""
    for point in _called_for([job], hold_points_of(job, at), at):
        if not point.passed:
            yield LeftOpen(
                Kind.HOLD_POINTS,
                f"{point.task.name}: {point.spec.says}",
                ("safety.hold_point", point.task.pk),
            )


def not_passed_at_handover(jobs: Sequence[Job]) -> list[HoldPoint]:
    """Hold points that were not passed when these closed jobs were closed.

    Three queries, none without jobs.
    """
    moments = {job.pk: job.closed_at for job in jobs if job.closed_at}
    if not moments:
        return []
    tasks = Task.objects.filter(job__in=moments).order_by("job", "position", "pk")
    points = [(task, spec) for task in tasks if (spec := spec_of(task)) is not None]
    last = last_measurements([task.pk for task, _ in points], F("task__job__closed_at"))
    found = [HoldPoint(task, spec, last.get(task.pk), ()) for task, spec in points]
    return [
        point
        for point in _called_for(jobs, found, max(moments.values()))
        if not point.passed
    ]


def _called_for(
    jobs: Iterable[Job], points: Iterable[HoldPoint], at: datetime
) -> list[HoldPoint]:
    """Those of tasks that the dimensions call for; all while there are none. One query."""
    minutes = task_minutes_at(jobs, at)
    return [
        point
        for point in points
        if not (of_job := minutes[point.task.job_id]) or point.task.key in of_job
    ]


def hold_points_of(job: Job, at: datetime) -> list[HoldPoint]:
    """Every hold point of one job, whether work has come to it or not. Two queries."""
    tasks = Task.objects.filter(job=job).order_by("position", "pk")
    points = [(task, spec) for task in tasks if (spec := spec_of(task)) is not None]
    last = last_measurements([task.pk for task, _ in points], at)
    return [HoldPoint(task, spec, last.get(task.pk), ()) for task, spec in points]
