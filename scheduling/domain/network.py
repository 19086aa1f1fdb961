"""The critical path: how early and how late each task may lie.

Source of the method: J. E. Kelley and M. R. Walker, "Critical-Path Planning and
Scheduling", Proceedings of the Eastern Joint Computer Conference, 1959, 160-173.
"""

from collections.abc import Hashable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from graphlib import CycleError, TopologicalSorter
from typing import Generic, TypeVar

K = TypeVar("K", bound=Hashable)

TOLERANCE = 1e-9  # in the unit of the durations: below this a float counts as zero


class Cycle(Exception):
    """Tasks that wait for each other; ``keys`` is one round of them."""

    def __init__(self, keys: Sequence[object]) -> None:
        self.keys = tuple(keys)
        super().__init__(" → ".join(str(key) for key in keys))


@dataclass(frozen=True, slots=True)
class Precedence(Generic[K]):
    """``after`` may start ``lag`` after ``before`` finishes (same unit as durations)."""

    before: K
    after: K
    lag: float = 0.0


@dataclass(frozen=True, slots=True)
class Times:
    """Early and late times of one task, and its two floats, in the unit of durations.

    ``total_float`` is how long it may slip without moving the end of the project;
    ``free_float`` without moving any task that follows.
    """

    early_start: float
    early_finish: float
    late_start: float
    late_finish: float
    free_float: float

    @property
    def total_float(self) -> float:
        """Late start less early start."""
        return self.late_start - self.early_start

    @property
    def critical(self) -> bool:
        """Whether a slip of this task is a slip of the project."""
        return self.total_float <= TOLERANCE


@dataclass(frozen=True, slots=True)
class CriticalPath(Generic[K]):
    """Times of every task in topological order, the length, and one longest chain."""

    times: Mapping[K, Times]
    length: float
    chain: tuple[K, ...]


def critical_path(
    durations: Mapping[K, float], precedences: Iterable[Precedence[K]]
) -> CriticalPath[K]:
    """Forward and backward pass over a task network (finish to start, with lags).

    Raises ``Cycle`` when tasks wait for each other and ``KeyError`` for an unknown key.
    """
    links = tuple(precedences)
    order = in_order(durations, links)
    before, after = _by_end(durations, links), _by_start(durations, links)
    early = _forward(order, durations, before)
    length = max((early[key] + durations[key] for key in order), default=0.0)
    late = _backward(order, durations, after, length)
    times = {
        key: Times(
            early[key],
            early[key] + durations[key],
            late[key] - durations[key],
            late[key],
            _free_float(early[key] + durations[key], after[key], early, length),
        )
        for key in order
    }
    return CriticalPath(times, length, _chain(order, times, before))


def in_order(keys: Iterable[K], precedences: Iterable[Precedence[K]]) -> tuple[K, ...]:
    """Keys so that every task stands after those it waits for; raises ``Cycle``."""
    sorter: TopologicalSorter[K] = TopologicalSorter(dict.fromkeys(keys, ()))
    for link in precedences:
        sorter.add(link.after, link.before)
    try:
        return tuple(sorter.static_order())
    except CycleError as error:
        raise Cycle(error.args[1]) from None


def _by_end(
    keys: Iterable[K], links: Iterable[Precedence[K]]
) -> dict[K, list[Precedence[K]]]:
    into: dict[K, list[Precedence[K]]] = {key: [] for key in keys}
    for link in links:
        into[link.after].append(link)
    return into


def _by_start(
    keys: Iterable[K], links: Iterable[Precedence[K]]
) -> dict[K, list[Precedence[K]]]:
    out: dict[K, list[Precedence[K]]] = {key: [] for key in keys}
    for link in links:
        out[link.before].append(link)
    return out


def _forward(
    order: Iterable[K],
    durations: Mapping[K, float],
    before: Mapping[K, list[Precedence[K]]],
) -> dict[K, float]:
    start: dict[K, float] = {}
    for key in order:
        ends = (
            start[link.before] + durations[link.before] + link.lag
            for link in before[key]
        )
        start[key] = max(ends, default=0.0)
    return start


def _backward(
    order: Sequence[K],
    durations: Mapping[K, float],
    after: Mapping[K, list[Precedence[K]]],
    length: float,
) -> dict[K, float]:
    finish: dict[K, float] = {}
    for key in reversed(order):
        limits = (
            finish[link.after] - durations[link.after] - link.lag for link in after[key]
        )
        finish[key] = min(limits, default=length)
    return finish


def _free_float(
    finish: float,
    after: Iterable[Precedence[K]],
    early: Mapping[K, float],
    length: float,
) -> float:
    rooms = (early[link.after] - link.lag - finish for link in after)
    return max(0.0, min(rooms, default=length - finish))


def _chain(
    order: Sequence[K],
    times: Mapping[K, Times],
    before: Mapping[K, list[Precedence[K]]],
) -> tuple[K, ...]:
    if not order:
        return ()
    at = max(order, key=lambda key: times[key].early_finish)
    chain = [at]
    while True:
        binding = [
            link.before
            for link in before[at]
            if times[link.before].early_finish + link.lag
            >= times[at].early_start - TOLERANCE
        ]
        if not binding:
            return tuple(reversed(chain))
        at = binding[0]
        chain.append(at)
