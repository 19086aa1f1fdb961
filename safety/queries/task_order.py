"""Which tasks come before others, as recorded at a moment."""

from collections import defaultdict
from collections.abc import Container, Iterator, Mapping, Sequence
from datetime import datetime

from jobs.models import Job, Task, TaskLink
from safety.queries.days_work import task_minutes_at


def not_done_before(job: Job, at: datetime) -> dict[int, list[str]]:
    """Names of the tasks that each task comes after and that are not done, by task id.

    Where the dimensions do not call for a task, those before it count in its place. Only
    tasks that come after one not done have a key. Three queries.
    """
    tasks = {task.pk: task for task in Task.objects.filter(job=job)}
    called_for = task_minutes_at([job], at)[job.pk]
    left_out = {
        pk for pk, task in tasks.items() if called_for and task.key not in called_for
    }
    before: dict[int, list[int]] = defaultdict(list)
    links = TaskLink.objects.filter(successor__job=job).order_by()
    for first, then in links.values_list("predecessor_id", "successor_id"):
        before[then].append(first)
    found = {}
    for pk in tasks:
        open_ones = {
            tasks[one]
            for one in _first_called_for(pk, before, left_out)
            if not _is_done(tasks[one], at)
        }
        if open_ones:
            in_order = sorted(open_ones, key=lambda task: (task.position, task.pk))
            found[pk] = [task.name for task in in_order]
    return found


def _first_called_for(
    pk: int, before: Mapping[int, Sequence[int]], left_out: Container[int]
) -> Iterator[int]:
    for one in before.get(pk, ()):
        if one in left_out:
            yield from _first_called_for(one, before, left_out)
        else:
            yield one


def _is_done(task: Task, at: datetime) -> bool:
    return task.done_at is not None and task.done_at <= at
