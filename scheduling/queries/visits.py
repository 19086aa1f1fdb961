"""Visits of jobs, with what is left of them."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime

from django.db.models import Prefetch, QuerySet

from jobs.models import Job, Task
from scheduling.models import Visit


def current_visits(jobs: Iterable[Job]) -> QuerySet[Visit]:
    """Visits in force of these jobs with tasks and booking. Two queries."""
    return (
        Visit.objects.filter(job__in=list(jobs), dropped_at__isnull=True)
        .select_related("job", "booking__crew")
        .prefetch_related(Prefetch("tasks", Task.objects.order_by("position", "pk")))
        .order_by("job_id", "ordinal")
    )


@dataclass(frozen=True, slots=True)
class Progress:
    """How far a visit is, from its tasks."""

    begun: bool
    done: bool
    done_at: datetime | None  # when its last task was done


def progress_of(visit: Visit) -> Progress:
    """How far a visit is; its tasks must be loaded by :func:`current_visits`."""
    tasks = visit.tasks.all()
    ends = [task.done_at for task in tasks if task.done_at is not None]
    done = bool(tasks) and len(ends) == len(tasks)
    return Progress(
        begun=bool(ends) or any(task.started_at is not None for task in tasks),
        done=done,
        done_at=max(ends) if done else None,
    )
