"""The compiled problem once more, laid out for the innermost loops.

Plain lists indexed by visit or by job: attribute look-ups are what such loops would
otherwise spend their time on.
"""

from collections.abc import Sequence
from itertools import accumulate, pairwise

from scheduling.domain import masks
from scheduling.domain.compiled import (
    HALVES_PER_DAY,
    NOBODY,
    CJob,
    Compiled,
    CVisit,
    LagTable,
)
from scheduling.domain.prices import Prices

NO_START = -1

PricedMode = tuple[int, int, int]  # halves, starts, price of the driving
Spot = tuple[int, int, int, int]  # visit, crew, start, halves
Crews = tuple[tuple[int, ...], ...]  # by visit of a job, the crews that may do it
Spots = tuple[Spot, ...]  # all visits of one job
Plan = list[Spots | None]  # by job; None when it is not placed


class Tables:
    """Lists by visit (links, modes, …) and by job (visits, price of each end, …).

    ``prices`` may differ from the compiled ones: a search may follow softer prices.
    """

    def __init__(self, compiled: Compiled, prices: Prices | None = None) -> None:
        self.compiled = compiled
        self.horizon = compiled.horizon
        self.prices = prices or compiled.prices
        self.unplaced = self.prices.unplaced
        self._by_visit(compiled.visits)
        self._by_job(compiled.jobs)

    def _by_visit(self, visits: Sequence[CVisit]) -> None:
        changes = self.prices.changes
        self.job = [visit.job for visit in visits]
        self.helper = [NOBODY in visit.modes for visit in visits]
        self.links = [tuple((k.before, k.table) for k in v.links) for v in visits]
        self.after: list[list[tuple[int, LagTable]]] = [[] for _ in visits]
        for visit in visits:
            for link in visit.links:
                self.after[link.before].append((visit.index, link.table))
        self.needs = [visit.needs for visit in visits]
        self.modes = [self._priced(visit) for visit in visits]
        self.old = [_number(visit.old_start) for visit in visits]
        self.old_crew = [visit.old_crew for visit in visits]
        self.move_price = [changes * visit.nearness for visit in visits]
        # By crew and visit, the one mode of a visit whose time is its published start or
        # simply the first allowed one after the visits before it.
        self.quick = [
            [self._quick(visit, crew) for visit in visits]
            for crew in range(len(self.compiled.shares))
        ]
        self.helpers_after = [self._helpers(visit.index) for visit in visits]
        self.crewed_after = [self._crewed(visit.index) for visit in visits]

    def _by_job(self, jobs: Sequence[CJob]) -> None:
        self.visits = [job.visits for job in jobs]
        self.crewed = [[v for v in job.visits if not self.helper[v]] for job in jobs]
        self.helpers = [[v for v in job.visits if self.helper[v]] for job in jobs]
        self.sinks = [[v for v in job.visits if not self.after[v]] for job in jobs]
        self.known = [any(self.old[v] >= 0 for v in job.visits) for job in jobs]
        self.one_crew = [job.one_crew for job in jobs]
        self.loose = not all(self.one_crew)
        self.crews = [job.crews for job in jobs]
        self.late = [self._late(job) for job in jobs]
        self.drive = [self._drive(job) for job in range(len(jobs))]
        self.lead = [
            (self.crewed[j] or list(self.visits[j]))[0] for j in range(len(jobs))
        ]
        self.early = self._early()
        # Visits that follow one another never meet, whatever they need.
        self.chain = [
            all(
                a in (before for before, _ in self.links[b])
                for a, b in pairwise(visits)
            )
            for visits in self.visits
        ]
        self.tail = self._tail()
        self.choices = [self._choices(job) for job in range(len(jobs))]
        self.floor = [
            choices[0][0] if choices else self.unplaced for choices in self.choices
        ]
        self.drive_by_crew = [self._steady_drive(job) for job in range(len(jobs))]
        self.lead_at = [
            visits.index(lead)
            for visits, lead in zip(self.visits, self.lead, strict=True)
        ]
        self.plain = [self._plain(job) for job in range(len(jobs))]
        self.least = [self._least(job) for job in range(len(jobs))]

    def cost(self, job: int, spots: Spots) -> int:
        """What a job costs where it lies."""
        drive, old, old_crew = self.drive[job], self.old, self.old_crew
        price = last = 0
        for visit, crew, start, halves in spots:
            last = max(last, start + halves)
            price += drive[crew] * (-(-halves // HALVES_PER_DAY))
            if old[visit] >= 0:
                changes = (start != old[visit]) + (crew != old_crew[visit])
                price += self.move_price[visit] * changes
        return self.late[job][last] + price

    def may_move(self, job: int) -> bool:
        """Whether some visit of the job has more than one place to be."""
        return any(
            sum(s.bit_count() for found in m.values() for _, s, _ in found) > 1
            for m in (self.modes[visit] for visit in self.visits[job])
        )

    def _quick(self, visit: CVisit, crew: int) -> tuple[int, int] | None:
        modes = visit.modes.get(crew, ())
        if len(modes) != 1 or visit.needs:
            return None
        return modes[0].halves, modes[0].starts

    def _helpers(self, visit: int) -> tuple[int, ...]:
        """Visits without a crew that stand after a visit, with no crew between."""
        direct = [after for after, _ in self.after[visit] if self.helper[after]]
        return tuple(v for helper in direct for v in (helper, *self._helpers(helper)))

    def _crewed(self, visit: int) -> tuple[int, ...]:
        """Visits with a crew that stand after a visit, directly or behind a helper."""
        chain = (visit, *self.helpers_after[visit])
        after = (follower for v in chain for follower, _ in self.after[v])
        return tuple(follower for follower in after if not self.helper[follower])

    def _priced(self, visit: CVisit) -> dict[int, tuple[PricedMode, ...]]:
        price, drive = self.prices.travel, self.compiled.drive
        return {
            crew: tuple(
                (mode.halves, mode.starts, price * drive(visit.job, crew, mode.halves))
                for mode in modes
            )
            for crew, modes in visit.modes.items()
        }

    def _early(self) -> list[int]:
        """The first start of every visit with the whole firm at hand."""
        return [
            min(
                (
                    masks.first_at(mode[1], 0)
                    for found in modes.values()
                    for mode in found
                ),
                default=self.horizon,
            )
            for modes in self.modes
        ]

    def _tail(self) -> list[int]:
        """By visit, the fewest slots that its followers still need."""
        shortest = [
            min((h for found in m.values() for h, _, _ in found), default=0)
            for m in self.modes
        ]
        tail = [0] * len(self.job)
        for visits in self.visits:
            for visit in reversed(visits):
                followers = (after for after, _ in self.after[visit])
                tail[visit] = max((shortest[v] + tail[v] for v in followers), default=0)
        return tail

    def _choices(self, job: int) -> list[tuple[int, Crews]]:
        """Ways to go about a job, cheapest floor first; none when it cannot be done."""
        visits = self.visits[job]
        if not all(self.modes[visit] for visit in visits):
            return []
        if self.one_crew[job]:
            ways: list[Crews] = [
                tuple((NOBODY,) if self.helper[v] else (crew,) for v in visits)
                for crew in self.crews[job]
            ]
        else:
            ways = [tuple(tuple(self.modes[visit]) for visit in visits)]
        floors = ((self._floor_with(job, crews), crews) for crews in ways)
        return sorted((f, crews) for f, crews in floors if f < self.unplaced)

    def _floor_with(self, job: int, crews: Crews) -> int:
        """The least cost with these crews and nobody else's work in the way."""
        ends: dict[int, int] = {}
        price = 0
        for visit, choice in zip(self.visits[job], crews, strict=True):
            modes = [mode for crew in choice for mode in self.modes[visit][crew]]
            low = max((table[ends[at]] for at, table in self.links[visit]), default=0)
            starts = [(masks.first_at(s, low), halves) for halves, s, _ in modes]
            fits = [start + halves for start, halves in starts if start >= 0]
            if not fits:
                return self.unplaced
            ends[visit] = min(fits)
            price += min(drive for _, _, drive in modes)
            price += min(self._crew_price(visit, crew) for crew in choice)
        return self.late[job][max(ends.values())] + price

    def _crew_price(self, visit: int, crew: int) -> int:
        """What it costs that a published visit goes to this crew."""
        changed = self.old[visit] >= 0 and crew != self.old_crew[visit]
        return self.move_price[visit] if changed else 0

    def _steady_drive(self, job: int) -> dict[int, int] | None:
        """Driving by crew where nothing but the crew decides it."""
        modes = [self.modes[visit] for visit in self.crewed[job]]
        single = all(len(found) == 1 for by_crew in modes for found in by_crew.values())
        if not self.one_crew[job] or not single:
            return None
        crews = self.crews[job]
        return {c: sum(found[c][0][2] for found in modes if c in found) for c in crews}

    def _plain(self, job: int) -> bool:
        """Whether one crew does it all, visit after visit, each in one way only."""
        if self.drive_by_crew[job] is None or not self.chain[job]:
            return False
        if any(len(self.modes[v].get(NOBODY, ())) != 1 for v in self.helpers[job]):
            return False
        return all(
            self.quick[crew][visit] is not None
            for visit in self.crewed[job]
            for crew in self.crews[job]
        )

    def _least(self, job: int) -> dict[int, int]:
        """By crew, the price of its driving and of its being another crew."""
        found = {}
        for crew, drive in (self.drive_by_crew[job] or {}).items():
            who = ((v, NOBODY if self.helper[v] else crew) for v in self.visits[job])
            found[crew] = drive + sum(self._crew_price(v, c) for v, c in who)
        return found

    def _drive(self, job: int) -> list[int]:
        """Price of a day's driving by crew; the last entry is for ``NOBODY``."""
        return [*(m * self.prices.travel for m in self.compiled.travel[job]), 0]

    def _late(self, job: CJob) -> list[int]:
        """Price of every end: it grows by a fixed step behind each date."""
        steps = [0] * (self.horizon + 1)
        for price, end in (
            (self.prices.promised * job.weight, job.promised_end),
            (self.prices.wanted * job.weight, job.wanted_end),
        ):
            if price and end is not None:
                behind = range(end + 1, self.horizon + 1)
                steps[end + 1 :] = [steps[at] + price for at in behind]
        return list(accumulate(steps))


def _number(slot: int | None) -> int:
    return NO_START if slot is None else slot
