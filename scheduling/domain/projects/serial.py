"""Schedules from lists: each task as soon as it can, in the order of the list.

Resources of all periods are held in one whole number: a field of bits for each resource
in each period, with a guard bit on top of each field. Subtracting a demand from every
field at once leaves the guards standing where there is room.
"""

from collections.abc import Sequence

from scheduling.domain.projects.project import Project, Starts, tails

LOOK_AHEAD = 24  # periods looked at together; most tasks find room among them


class Serial:
    """Serial schedule generation for one project, up to ``horizon`` periods.

    Source of the method: J. E. Kelley, "The Critical-Path Method: Resources Planning and
    Scheduling", in Industrial Scheduling, Prentice-Hall, 1963, 347-365.
    """

    def __init__(self, project: Project, horizon: int) -> None:
        self.project = project
        self.horizon = horizon
        self._durations = project.durations
        self._field = max(project.capacities, default=1).bit_length() + 1
        self._width = self._field * max(1, len(project.capacities))
        self._reach = LOOK_AHEAD + max(project.durations, default=0)
        ones = self._ones(self._reach)
        guard = self._packed([1 << (self._field - 1)] * len(project.capacities))
        self._window = (1 << self._reach * self._width) - 1
        self._guards = ones * guard
        self._base = ones << (self._field - 1)
        self._free = self._ones(horizon) * self._packed(project.capacities)
        packed = [self._packed(needs) for needs in project.demands]
        self._asked = [ones * needs for needs in packed]
        self._taken = [
            needs * self._ones(length)
            for needs, length in zip(packed, project.durations, strict=True)
        ]
        self._steps = [self._doublings(length) for length in project.durations]
        self._fold = self._folds()

    def schedule(self, tasks: Sequence[int]) -> Starts | None:
        """Starts by task; None when the horizon is too short.

        ``tasks`` has every task after those it waits for.
        """
        width, before, durations = self._width, self.project.before, self._durations
        free = self._free
        starts = [0] * len(durations)
        ends = starts[:]
        for task in tasks:
            low = 0
            for other in before[task]:
                if ends[other] > low:  # noqa: PLR1730 - twice as fast as max()
                    low = ends[other]
            if durations[task]:
                low = self._room(task, free, low)
                if low < 0:
                    return None
                free -= self._taken[task] << low * width
            starts[task] = low
            ends[task] = low + durations[task]
        return tuple(starts)

    def _room(self, task: int, free: int, low: int) -> int:
        """The first start from ``low`` on with room for a task; -1 when there is none."""
        width, guards, steps = self._width, self._guards, self._steps[task]
        while low <= self.horizon:
            room = free >> low * width & self._window | guards
            room = room - self._asked[task] & guards
            for shift in self._fold:
                room &= room >> shift
            room &= self._base
            for shift in steps:
                room &= room >> shift
            if room:
                return low + ((room & -room).bit_length() - 1) // width
            low += self._reach + 1 - self._durations[task]
        return -1

    def _ones(self, periods: int) -> int:
        """A one at the foot of each of so many periods."""
        return sum(1 << (period * self._width) for period in range(periods))

    def _packed(self, pieces: Sequence[int]) -> int:
        """One period's fields."""
        return sum(n << (at * self._field) for at, n in enumerate(pieces))

    def _folds(self) -> list[int]:
        """Shifts that bring the guards of all resources together on the first."""
        count = len(self.project.capacities)
        shifts, done = [], 1
        while done < count:
            step = min(done, count - done)
            shifts.append(step * self._field)
            done += step
        return shifts

    def _doublings(self, length: int) -> list[int]:
        """Shifts after which a period stands for ``length`` free ones in a row."""
        shifts, done = [], 1
        while done < length:
            step = min(done, length - done)
            shifts.append(step * self._width)
            done += step
        return shifts


def by_start(starts: Starts, order: Sequence[int]) -> list[int]:
    """Tasks in the order in which they start; ``order`` decides between equals."""
    return sorted(order, key=starts.__getitem__)


def justified(forward: Serial, backward: Serial, starts: Starts) -> Starts:
    """A schedule pushed right as far as it goes, then left: never longer, often shorter.

    Source: V. Valls, F. Ballestin and S. Quintanilla, "Justification and RCPSP: A
    technique that pays", European Journal of Operational Research 165 (2005), 375-386.
    """
    project = forward.project
    end = project.makespan(starts)
    lengths = project.durations
    last_first = sorted(
        backward.project.order, key=lambda task: -(starts[task] + lengths[task])
    )
    mirrored = backward.schedule(last_first)
    if mirrored is None:
        return starts
    right = tuple(
        end - at - length for at, length in zip(mirrored, lengths, strict=True)
    )
    left = forward.schedule(by_start(right, project.order))
    return starts if left is None or project.makespan(left) > end else left


def construct(project: Project) -> Starts:
    """A schedule at once: tasks with the longest way behind them first, justified."""
    horizon = sum(project.durations)
    forward, backward = Serial(project, horizon), Serial(project.reversed(), horizon)
    behind = tails(project)
    latest_first = sorted(project.order, key=lambda task: -behind[task])
    starts = forward.schedule(latest_first)
    assert starts is not None, "one task after the other always fits"
    return justified(forward, backward, starts)
