"""Mend a published plan: take a few jobs out, put them back better, leave the rest alone.

Where the search over sequences pushes everything behind a change, this one only moves
the jobs it takes out. Source of the method: G. Schrimpf, J. Schneider, H. Stamm-Wilbrandt
and G. Dueck, "Record Breaking Optimization Results Using the Ruin and Recreate
Principle", Journal of Computational Physics 159 (2000), 139-171.
"""

from itertools import count
from math import log
from random import Random

from scheduling.domain import masks
from scheduling.domain.anneal import Cooling, Tick
from scheduling.domain.board import Board
from scheduling.domain.budget import Budget
from scheduling.domain.compiled import NOBODY
from scheduling.domain.tables import Plan, Tables

CHECK_EVERY = 8  # steps between two looks at the clock
EJECT = 0.5  # share of steps that clear the way for one job
SPREAD = 12.0  # slots; chance in what counts as near
MOST_OUT = 7  # jobs taken out at once


class Mender:
    """A board on which jobs are taken out and put back."""

    def __init__(self, tables: Tables, plan: Plan, draw: Random) -> None:
        self.tables = tables
        self.draw = draw
        self.board = Board(tables).fill(plan)
        self.jobs = [job for job, spots in enumerate(plan) if spots is not None]
        self.cost = {job: tables.cost(job, plan[job] or ()) for job in self.jobs}
        self.total = sum(self.cost.values())

    def step(self, heat: float) -> None:
        """Take some jobs out and put them back.

        A dearer plan is kept now and then while it is hot; otherwise all goes back.
        """
        out = self._chosen()
        before = {job: self.board.take(job) for job in out}
        least = sum(self.cost[job] for job in out)
        limit = least - heat * log(1.0 - self.draw.random())
        after = self._put_back(out, limit)
        if after is None:
            for job, spots in before.items():
                self.board.put(job, spots)
        else:
            self.cost.update(after)
            self.total += sum(after.values()) - least

    def _put_back(self, out: list[int], limit: float) -> dict[int, int] | None:
        """Each job in turn where it is cheapest; None, with none placed, beyond a limit."""
        placed: dict[int, int] = {}
        for job in out:
            spots = self.board.best(job, int(limit - sum(placed.values())) + 1)
            if spots is None:
                break
            self.board.put(job, spots)
            placed[job] = self.tables.cost(job, spots)
        if len(placed) == len(out):
            return placed
        for job in placed:
            self.board.take(job)
        return None

    def _chosen(self) -> list[int]:
        """Jobs to take out, in the order in which they are put back."""
        job = self._costly()
        if self.draw.random() < EJECT:
            return self._in_the_way(job)
        return self._near(job)

    def _costly(self) -> int:
        some = [self.draw.choice(self.jobs) for _ in range(4)]
        return max(some, key=lambda job: self.cost[job] - self.tables.floor[job])

    def _in_the_way(self, job: int) -> list[int]:
        """A job, and those that lie where it would like to be."""
        tables = self.tables
        crew = self._crew(job)
        busy = 0
        ends: dict[int, int] = {}
        for visit in tables.visits[job]:
            who = NOBODY if tables.helper[visit] else crew
            low = max((t[ends[at]] for at, t in tables.links[visit]), default=0)
            if who not in tables.modes[visit]:
                return self._near(job)
            halves, starts, _ = tables.modes[visit][who][0]
            start = masks.first_at(starts, max(low, tables.old[visit]))
            if start < 0:
                return self._near(job)
            ends[visit] = start + halves
            busy |= 0 if who == NOBODY else masks.span(start, start + halves)
        others = [j for j in self.jobs if j != job and self._meets(j, crew, busy)]
        others.sort(key=self.board.start_of)
        return [job, *others[: MOST_OUT - 1]]

    def _crew(self, job: int) -> int:
        """Most often the crew that was published for the job."""
        tables = self.tables
        crews = tables.crews[job] if tables.one_crew[job] else ()
        lead = tables.lead[job]
        old = tables.old_crew[lead]
        keeps = self.draw.random() < 0.7
        if keeps and old is not None and old in tables.modes[lead]:
            return old
        return self.draw.choice(crews or tuple(tables.modes[lead]))

    def _meets(self, job: int, crew: int, busy: int) -> bool:
        for _, who, start, halves in self.board.plan[job] or ():
            if who == crew and (busy >> start) & ((1 << halves) - 1):
                return True
        return False

    def _near(self, job: int) -> list[int]:
        """A job and some that lie close to it in time, half the time of its crew."""
        draw, board = self.draw, self.board
        here, crew = board.start_of(job), board.crew_of(job)
        same = draw.random() < 0.5
        near = [
            (abs(board.start_of(other) - here) + draw.random() * SPREAD, other)
            for other in self.jobs
            if other != job and (not same or board.crew_of(other) == crew)
        ]
        near.sort()
        out = [job, *(other for _, other in near[: draw.randrange(1, MOST_OUT)])]
        if draw.random() < 0.5:
            draw.shuffle(out)
        return out


def mend(
    tables: Tables,
    plan: Plan,
    cooling: Cooling,
    draw: Random,
    budget: Budget,
    *,
    tick: Tick | None = None,
) -> Plan:
    """The best plan met while jobs are taken out and put back."""
    mender = Mender(tables, plan, draw)
    least = mender.total
    best = list(mender.board.plan)
    heat = cooling.hot
    for made in count() if mender.jobs else ():
        if made % CHECK_EVERY == 0:
            share = cooling.share(made, budget)
            if share >= 1 or budget.spent():
                break
            heat = cooling.heat(share)
            if tick is not None and made:
                tick(CHECK_EVERY)
        mender.step(heat)
        cost = mender.total
        if cost < least:
            best, least = list(mender.board.plan), cost
    return best
