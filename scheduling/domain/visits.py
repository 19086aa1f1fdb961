"""Cut a job's task sequence into visits.

A visit is what one crew does in one go. A new visit begins after a cure long enough to
send the crew away, where something from outside must come first (an inspection, a
delivery of its own), and where the trade changes.
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from math import ceil

from jobs.domain.methods import LagKind
from scheduling.domain.network import CriticalPath, Precedence, critical_path

MINUTES_PER_HALF = 240
OWN_TRADE = ""
# Kinds of task that another trade comes for: its own visit, without our crew.
OUTSIDE_TRADES: Mapping[str, str] = {"electrical": "electrician"}
STAY_HOURS = 2.0  # a crew waits out a shorter cure on site; common practice, no source
LARGEST_CREW = 8  # people; a bigger gang is several crews


@dataclass(frozen=True, slots=True)
class TaskLink:
    """This task may start ``lag_hours`` after the task ``after`` is finished."""

    after: str
    lag_hours: float = 0.0
    lag_kind: LagKind = LagKind.CALENDAR
    why: str = ""


@dataclass(frozen=True, slots=True)
class Task:
    """One task as the schedule sees it.

    ``person_minutes`` are divided by the people at work, at most ``crew_max``.
    ``gate`` names what must come from outside before the task: a visit begins with it. ``trade`` is empty for the firm's own crews.
    """

    key: str
    name: str
    person_minutes: float
    crew_min: int
    crew_max: int
    links: tuple[TaskLink, ...] = ()
    tickets: tuple[str, ...] = ()
    gate: str = ""
    trade: str = OWN_TRADE
    stops_in_rain: bool = False

    def minutes(self, people: int) -> float:
        """Elapsed minutes with that many people on site."""
        return self.person_minutes / max(1, min(people, self.crew_max))


@dataclass(frozen=True, slots=True)
class CutLink:
    """The visit may start ``lag_hours`` after the visit numbered ``after`` ends."""

    after: int
    lag_hours: float
    lag_kind: LagKind
    why: str


@dataclass(frozen=True, slots=True)
class VisitCut:
    """One visit: its tasks in the order they are done.

    ``halves`` maps people at work to half-days; ``gates`` are what must arrive first.
    """

    number: int
    tasks: tuple[str, ...]
    trade: str
    halves: Mapping[int, int]
    tickets: tuple[str, ...]
    gates: tuple[str, ...]
    links: tuple[CutLink, ...]
    stops_in_rain: bool


def task_path(tasks: Iterable[Task], people: int) -> CriticalPath[str]:
    """Critical path of a task sequence in hours, for a crew of that size.

    Lags are taken in hours as they stand, whichever clock they run on.
    """
    every = tuple(tasks)
    durations = {task.key: task.minutes(people) / 60 for task in every}
    return critical_path(durations, _precedences(every))


def cut_into_visits(
    tasks: Sequence[Task], *, minutes_per_half: int = MINUTES_PER_HALF
) -> tuple[VisitCut, ...]:
    """Visits of a job, numbered from 1 in an order that respects their links.

    Raises ``network.Cycle`` when tasks wait for each other and ``KeyError`` when a task
    waits for one that is not there.
    """
    people = max((task.crew_min for task in tasks), default=1)
    path = task_path(tasks, people)
    order = {
        place: _order_inside(group, path)
        for place, group in _groups(tasks, path).items()
    }
    visit_of = {
        task.key: number
        for number, group in enumerate(order.values(), start=1)
        for task in group
    }
    waits = _waits(order.values())
    return tuple(
        VisitCut(
            number=number,
            tasks=tuple(task.key for task in group),
            trade=place[1],
            halves=_halves(group, minutes_per_half),
            tickets=tuple(sorted({kind for task in group for kind in task.tickets})),
            gates=tuple(sorted({task.gate for task in group} - {""})),
            links=_links(group, number, visit_of, waits),
            stops_in_rain=any(task.stops_in_rain for task in group),
        )
        for number, (place, group) in enumerate(order.items(), start=1)
    )


Place = tuple[int, str]  # stage, trade


def _precedences(tasks: Iterable[Task]) -> list[Precedence[str]]:
    return [
        Precedence(link.after, task.key, link.lag_hours)
        for task in tasks
        for link in task.links
    ]


def _groups(
    tasks: Sequence[Task], path: CriticalPath[str]
) -> dict[Place, tuple[Task, ...]]:
    by_key = {task.key: task for task in tasks}
    stage = _stages(by_key, tuple(path.times))
    groups: dict[Place, tuple[Task, ...]] = {}
    for key in sorted(by_key, key=lambda k: (stage[k], path.times[k].early_start, k)):
        place = (stage[key], by_key[key].trade)
        groups[place] = (*groups.get(place, ()), by_key[key])
    return groups


def _stages(by_key: Mapping[str, Task], order: Sequence[str]) -> dict[str, int]:
    """How many partings lie before each task."""
    open_start = any(not task.links and not task.gate for task in by_key.values())
    stage: dict[str, int] = {}
    passed: dict[str, frozenset[str]] = {}
    for key in order:
        task = by_key[key]
        first = int(open_start and bool(task.gate) and not task.links)
        stage[key] = max(
            (
                stage[link.after]
                + _parts(by_key[link.after], link, task, passed[link.after])
                for link in task.links
            ),
            default=first,
        )
        earlier = (passed[link.after] for link in task.links)
        passed[key] = frozenset({task.gate}).union(*earlier)
    return stage


def _parts(before: Task, link: TaskLink, after: Task, passed: frozenset[str]) -> bool:
    gated = bool(after.gate) and after.gate not in passed
    return link.lag_hours > STAY_HOURS or before.trade != after.trade or gated


def _order_inside(tasks: Sequence[Task], path: CriticalPath[str]) -> tuple[Task, ...]:
    """Tasks of a visit: those with the least room first, as far as links allow."""
    left = {task.key: task for task in tasks}
    done: list[Task] = []
    while left:
        free = [
            key
            for key, task in left.items()
            if not any(link.after in left for link in task.links)
        ]
        at = min(free, key=lambda key: (path.times[key].late_start, key))
        done.append(left.pop(at))
    return tuple(done)


def _elapsed(group: Sequence[Task], people: int) -> dict[str, tuple[float, float]]:
    """Start and end of each task within its visit, minutes, short cures waited out."""
    times: dict[str, tuple[float, float]] = {}
    clock = 0.0
    for task in group:
        waits = (
            times[link.after][1] + link.lag_hours * 60
            for link in task.links
            if link.after in times
        )
        start = max(clock, *waits, 0.0)
        clock = start + task.minutes(people)
        times[task.key] = (start, clock)
    return times


def _halves(group: Sequence[Task], minutes_per_half: int) -> dict[int, int]:
    smallest = max(task.crew_min for task in group)
    largest = max(smallest, *(min(task.crew_max, LARGEST_CREW) for task in group))
    return {
        people: max(1, ceil(_length(group, people) / minutes_per_half))
        for people in range(smallest, largest + 1)
    }


def _length(group: Sequence[Task], people: int) -> float:
    return max(end for _, end in _elapsed(group, people).values())


def _waits(groups: Iterable[Sequence[Task]]) -> dict[str, tuple[float, float]]:
    """Of each task: minutes of its visit before it starts and after it ends.

    Taken for the fastest crew, so that a cure is never counted as begun too early.
    """
    waits: dict[str, tuple[float, float]] = {}
    for group in groups:
        times = _elapsed(group, LARGEST_CREW)
        length = _length(group, LARGEST_CREW)
        for key, (start, end) in times.items():
            waits[key] = (start, length - end)
    return waits


def _links(
    group: Sequence[Task],
    number: int,
    visit_of: Mapping[str, int],
    waits: Mapping[str, tuple[float, float]],
) -> tuple[CutLink, ...]:
    """Links to earlier visits, the longest wait for each of them."""
    longest: dict[tuple[int, LagKind], CutLink] = {}
    for task in group:
        for link in task.links:
            before = visit_of[link.after]
            if before == number:
                continue
            spent = (waits[link.after][1] + waits[task.key][0]) / 60
            hours = max(0.0, link.lag_hours - spent)
            at = (before, link.lag_kind)
            if at not in longest or hours > longest[at].lag_hours:
                longest[at] = CutLink(before, hours, link.lag_kind, link.why)
    return tuple(longest.values())
