"""One change of a line-up, with its way back."""

from collections.abc import Iterable

from scheduling.domain.lineup import UNSET, Change, Lineup


class Move:
    """Sequences given to crews, settled and priced; everything can be put back."""

    __slots__ = (
        "_before",
        "_costs",
        "_crews",
        "_holds",
        "_line",
        "_log",
        "_orders",
        "_touched",
    )

    def __init__(self, line: Lineup) -> None:
        self._line = line
        self._before = line.cost
        self._orders: list[tuple[int, list[int], int]] = []  # crew, order before, first
        self._crews: list[tuple[int, int, int]] = []  # visit, crew and place before
        self._holds: list[int] = []
        self._log: list[Change] = []
        self._touched: set[int] = set()
        self._costs: list[tuple[int, int]] = []

    def assign(self, visits: Iterable[int], crew: int) -> None:
        """Note that visits go to another crew; the sequences follow separately."""
        line = self._line
        for visit in visits:
            self._crews.append((visit, line.crew[visit], line.place[visit]))
            line.crew[visit] = crew
            self._touched.add(line.tables.job[visit])

    def begin(self, job: int) -> bool:
        """Place what a job that is not placed yet starts with beside the crews."""
        return self._line.fit_first_helpers(job, self._log)

    def turn_hold(self, visit: int) -> None:
        """Let a published visit go from its old start, or hold it there again."""
        self._holds.append(visit)
        self._line.hold[visit] = not self._line.hold[visit]

    def reorder(self, crew: int, order: list[int], first: int, last: int) -> bool:
        """Give a crew a new sequence, unlike the old one from ``first`` to ``last``.

        False when it breaks a rule; the move must then be undone.
        """
        line = self._line
        self._orders.append((crew, line.order[crew], first))
        line.order[crew] = order
        return line.settle(crew, first, last, self._log, self._touched)

    def price(self) -> int:
        """By how much the plan got dearer."""
        self._costs = self._line.price(self._touched)
        return self._line.cost - self._before

    def undo(self) -> None:
        """Put everything back."""
        line = self._line
        line.unprice(self._costs)
        if line.heavy:
            for crew, _, first in self._orders:
                line.free_plant(line.order[crew][first:])
        self._undo_times()
        for visit in self._holds:
            line.hold[visit] = not line.hold[visit]
        for visit, crew, place in reversed(self._crews):
            line.crew[visit], line.place[visit] = crew, place
        for crew, order, first in reversed(self._orders):
            line.order[crew] = order
            line.restore(crew, first)
        if line.heavy:  # their old crew may not have been given its new sequence yet
            line.take_plant(v for v, crew, _ in self._crews if crew != UNSET)

    def _undo_times(self) -> None:
        line, helper = self._line, self._line.tables.helper
        for visit, start, end in reversed(self._log):
            if helper[visit]:
                line.free_plant((visit,))
            line.start[visit], line.end[visit] = start, end
            if helper[visit] and start >= 0:
                line.take_plant((visit,))
