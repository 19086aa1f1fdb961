"""Mend a published plan: take a few jobs out, put them back better, leave the rest alone.

Where the search over sequences pushes everything behind a change, this one only moves
the jobs it takes out. Source of the method: G. Schrimpf, J. Schneider, H. Stamm-Wilbrandt
and G. Dueck, "Record Breaking Optimization Results Using the Ruin and Recreate
Principle", Journal of Computational Physics 159 (2000), 139-171.
"""

from heapq import nsmallest
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
EJECT = 0.3  # share of steps that clear the way for one job
BEHIND = 0.5  # share of steps that move one job, and all it has pushed back to before
SPREAD = 12.0  # slots; chance in what counts as near
MOST_OUT = 7  # jobs taken out at once
MOST_PUSHED = 12  # jobs behind it that are taken out for one


class Mender:
    """A board on which jobs are taken out and put back."""

    def __init__(self, tables: Tables, plan: Plan, draw: Random) -> None:
        self.tables = tables
        self.draw = draw
        self.board = Board(tables).fill(plan)
        self.jobs = [
            job
            for job, spots in enumerate(plan)
            if spots is not None and tables.may_move(job)
        ]
        self.cost = {job: tables.cost(job, plan[job] or ()) for job in self.jobs}
        self.total = sum(self.cost.values())
        self.first = [0] * len(plan)  # slot
        self.moved: set[int] = set()  # jobs that are not as published
        self.taken: list[dict[int, int]] = [{} for _ in plan]  # slots by crew
        for job in self.jobs:
            self._note(job)

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
            for job in out:
                self._note(job)

    def _note(self, job: int) -> None:
        """Remember when a job begins and which crews it keeps busy."""
        spots = self.board.plan[job] or ()
        taken: dict[int, int] = {}
        for _, crew, start, halves in spots:
            if crew != NOBODY:
                taken[crew] = taken.get(crew, 0) | masks.span(start, start + halves)
        self.taken[job] = taken
        old, old_crew = self.tables.old, self.tables.old_crew
        if any(s != old[v] or c != old_crew[v] for v, c, s, _ in spots):
            self.moved.add(job)
        else:
            self.moved.discard(job)
        self.first[job] = min(spot[2] for spot in spots)

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
        roll = self.draw.random()
        if roll < EJECT:
            return self._in_the_way(job)
        if roll < EJECT + BEHIND:
            return self._behind(job)
        return self._near(job)

    def _costly(self) -> int:
        some = [self.draw.choice(self.jobs) for _ in range(2)]
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
        taken = self.taken
        others = [j for j in self.jobs if j != job and taken[j].get(crew, 0) & busy]
        others.sort(key=self.first.__getitem__)
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

    def _behind(self, job: int) -> list[int]:
        """Jobs that a job may have pushed away, in their order, and it after them."""
        first, mine = self.first, self.taken[job].keys()
        here, away = first[job], self.moved
        pushed = [
            other
            for other in self.jobs
            if other in away
            and first[other] >= here
            and other != job
            and not mine.isdisjoint(self.taken[other])
        ]
        return [*nsmallest(MOST_PUSHED, pushed, key=first.__getitem__), job]

    def _near(self, job: int) -> list[int]:
        """A job and some that lie close to it in time, half the time of its crew."""
        draw, first, taken = self.draw, self.first, self.taken
        here, mine = first[job], taken[job].keys()
        among = self.jobs
        if draw.random() < 0.5:
            among = [other for other in among if not mine.isdisjoint(taken[other])]
        near = [
            (abs(first[other] - here) + draw.random() * SPREAD, other)
            for other in among
            if other != job
        ]
        out = [job, *(j for _, j in nsmallest(draw.randrange(1, MOST_OUT), near))]
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
