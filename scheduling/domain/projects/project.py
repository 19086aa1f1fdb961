"""A project in the sense of the literature: tasks in order that share renewable resources.

The firm's plan asks more (crews, calendars, dates); this is the plain problem on which
methods are compared: all tasks done as soon as possible.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field

from scheduling.domain.network import Precedence, critical_path, in_order

Starts = tuple[int, ...]  # by task


@dataclass(frozen=True, slots=True)
class Project:
    """Tasks are numbered from 0; times are whole periods.

    ``demands[task][resource]`` is used in every period of the task; ``followers[task]``
    may start once it is done. Raises ``ValueError`` when a task asks for more than there
    is, and ``network.Cycle`` when tasks wait for each other.
    """

    durations: tuple[int, ...]
    demands: tuple[tuple[int, ...], ...]
    capacities: tuple[int, ...]
    followers: tuple[tuple[int, ...], ...]
    order: tuple[int, ...] = field(init=False)  # each task after those it waits for
    before: tuple[tuple[int, ...], ...] = field(init=False)

    def __post_init__(self) -> None:
        for task, needs in enumerate(self.demands):
            if any(n > c for n, c in zip(needs, self.capacities, strict=True)):
                raise ValueError(f"task {task + 1} needs more than there is")
        tasks = range(len(self.durations))
        before: list[list[int]] = [[] for _ in tasks]
        for task, follower in self.links():
            before[follower].append(task)
        links = [Precedence(task, follower) for task, follower in self.links()]
        object.__setattr__(self, "before", tuple(map(tuple, before)))
        object.__setattr__(self, "order", in_order(tasks, links))

    def links(self) -> Iterator[tuple[int, int]]:
        """Every task with each of its followers."""
        for task, followers in enumerate(self.followers):
            for follower in followers:
                yield task, follower

    def makespan(self, starts: Sequence[int]) -> int:
        """The period in which everything is done."""
        ends = (s + d for s, d in zip(starts, self.durations, strict=True))
        return max(ends, default=0)

    def reversed(self) -> "Project":
        """The same project told backwards."""
        return Project(self.durations, self.demands, self.capacities, self.before)


def tails(project: Project) -> list[int]:
    """By task, the longest way from its end to the end of the project."""
    links = (Precedence(task, follower) for task, follower in project.links())
    path = critical_path(dict(enumerate(project.durations)), links)
    times = path.times
    return [round(path.length - times[t].late_finish) for t in range(len(times))]


def floor(project: Project) -> int:
    """A makespan that nobody can beat: the longest way, or the work of one resource."""
    longest = [project.durations[t] + tail for t, tail in enumerate(tails(project))]
    heads = tails(project.reversed())
    ways = (head + way for head, way in zip(heads, longest, strict=True))
    work = (
        -(-sum(d * n[r] for d, n in _tasks(project)) // capacity)
        for r, capacity in enumerate(project.capacities)
        if capacity
    )
    return max((*ways, *work), default=0)


def faults(project: Project, starts: Starts) -> Iterator[str]:
    """What is wrong with a schedule; written apart from everything that makes one."""
    for task, follower in project.links():
        if starts[follower] < starts[task] + project.durations[task]:
            yield f"task {follower + 1} begins before task {task + 1} is done"
    for period in range(project.makespan(starts)):
        for resource, capacity in enumerate(project.capacities):
            used = sum(
                needs[resource]
                for start, (length, needs) in zip(starts, _tasks(project), strict=True)
                if start <= period < start + length
            )
            if used > capacity:
                yield f"period {period}: {used} of resource {resource + 1}"


def _tasks(project: Project) -> Iterator[tuple[int, tuple[int, ...]]]:
    return zip(project.durations, project.demands, strict=True)
