"""The task sequence of a job: its links checked, and edited without breaking it.

A sequence is a tuple of tasks in the order they are listed. Links say what waits for
what; the order on the page never contradicts them.
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace

from jobs.domain.methods import Link, TaskSpec
from jobs.domain.refusals import Refused
from jobs.domain.takeoff.model import TakeOff

Tasks = tuple[TaskSpec, ...]


def find_cycle(links: Mapping[str, Iterable[str]]) -> tuple[str, ...] | None:
    """A loop among ``task: what it waits for``, or None.

    The path starts and ends with the same task and runs in the order of work: each
    waits for the one before it. Depth-first search without recursion.
    """
    done: set[str] = set()
    for start in links:
        path, steps = [start], [iter(links.get(start, ()))]
        while path:
            following = next(steps[-1], None)
            if following is None:
                done.add(path.pop())
                steps.pop()
            elif following in path:
                loop = path[path.index(following) :]
                return (following, *reversed(loop))
            elif following not in done:
                path.append(following)
                steps.append(iter(links.get(following, ())))
    return None


def in_order(tasks: Iterable[TaskSpec]) -> Tasks:
    """Tasks so that each follows all it waits for; otherwise as they came (stable).

    Refused when the links run in a loop.
    """
    waiting = list(tasks)
    _refuse_loop(waiting)
    placed: list[TaskSpec] = []
    keys = {task.key for task in waiting}
    seen: set[str] = set()
    while waiting:
        ready = next(
            task
            for task in waiting
            if all(link.after in seen or link.after not in keys for link in task.links)
        )
        waiting.remove(ready)
        placed.append(ready)
        seen.add(ready.key)
    return tuple(placed)


def check_links(tasks: Iterable[TaskSpec]) -> list[str]:
    """What is wrong with the links of a sequence, in plain words; empty when nothing."""
    tasks = tuple(tasks)
    names = {task.key: task.name for task in tasks}
    problems = []
    for task in tasks:
        for link in task.links:
            if link.after not in names:
                problems.append(
                    f'"{task.name}" waits for "{link.after}", which is not in the sequence.'
                )
            if link.lag_hours < 0:
                problems.append(f'The wait before "{task.name}" cannot be negative.')
    loop = find_cycle(_waits(tasks))
    if loop:
        problems.append(loop_in_words(loop, names))
    return problems


def loop_in_words(loop: Sequence[str], names: Mapping[str, str]) -> str:
    """A loop as a sentence that names its tasks in the order of work."""
    said = [f'"{names.get(key, key)}"' for key in loop]
    if len(loop) == 2:
        return f"{said[0]} would wait for itself. Take that link out."
    path = " → ".join(said)
    return (
        f"These tasks would wait for each other in a loop: {path}. "
        "Take out one of these links."
    )


def with_task(tasks: Tasks, task: TaskSpec, position: int) -> Tasks:
    """The sequence with a task added at a position (from 0), or later if it must wait."""
    if any(other.key == task.key for other in tasks):
        raise Refused(f'There is already a task with the key "{task.key}".')
    place = min(max(position, 0), len(tasks))
    return _checked((*tasks[:place], task, *tasks[place:]))


def without_task(tasks: Tasks, key: str) -> Tasks:
    """The sequence without a task; what waited for it waits for what it waited for.

    The wait before the removed task passes on with its link (concrete still cures). The
    wait after it goes: what had to cure is no longer done.
    """
    gone = _find(tasks, key)
    return tuple(
        replace(task, links=_through(task.links, gone))
        for task in tasks
        if task.key != key
    )


def moved(tasks: Tasks, key: str, position: int) -> Tasks:
    """The sequence with a task at another position (from 0).

    Refused when it would come before a task it waits for, or after one that waits for it.
    """
    task = _find(tasks, key)
    rest = [other for other in tasks if other.key != key]
    place = min(max(position, 0), len(rest))
    before = {other.key for other in rest[:place]}
    for other in rest:
        if other.key not in before and _waits_for(task, other):
            raise Refused(_too_early(task, other))
        if other.key in before and _waits_for(other, task):
            raise Refused(_too_early(other, task))
    return (*rest[:place], task, *rest[place:])


def relinked(tasks: Tasks, key: str, links: Iterable[Link]) -> Tasks:
    """The sequence with other links for one task; a loop is refused, and named."""
    changed = replace(_find(tasks, key), links=tuple(links))
    return _checked(tuple(changed if t.key == key else t for t in tasks))


def needed(tasks: Iterable[TaskSpec], takeoff: TakeOff) -> Tasks:
    """The tasks that these dimensions call for; the others are passed through."""
    left = tuple(tasks)
    for task in left:
        if task.only_if and not takeoff.value(task.only_if):
            left = without_task(left, task.key)
    return left


def _checked(tasks: Tasks) -> Tasks:
    problems = check_links(tasks)
    if problems:
        raise Refused(problems)
    return in_order(tasks)


def _refuse_loop(tasks: Sequence[TaskSpec]) -> None:
    loop = find_cycle(_waits(tasks))
    if loop:
        raise Refused(loop_in_words(loop, {task.key: task.name for task in tasks}))


def _waits(tasks: Iterable[TaskSpec]) -> dict[str, list[str]]:
    return {task.key: [link.after for link in task.links] for task in tasks}


def _find(tasks: Tasks, key: str) -> TaskSpec:
    for task in tasks:
        if task.key == key:
            return task
    raise Refused(f'There is no task "{key}" in the sequence.')


def _waits_for(task: TaskSpec, other: TaskSpec) -> bool:
    return any(link.after == other.key for link in task.links)


def _too_early(task: TaskSpec, first: TaskSpec) -> str:
    return (
        f'"{task.name}" waits for "{first.name}", so it cannot come before it. '
        "Change what it waits for first."
    )


def _through(links: tuple[Link, ...], gone: TaskSpec) -> tuple[Link, ...]:
    """Links with the removed task replaced by its own; the longest wait of each stays."""
    if all(link.after != gone.key for link in links):
        return links
    found: dict[str, Link] = {}
    kept = [link for link in links if link.after != gone.key]
    for link in (*kept, *gone.links):
        known = found.get(link.after)
        if known is None or link.lag_hours > known.lag_hours:
            found[link.after] = link
    return tuple(found.values())
