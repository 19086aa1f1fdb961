"""The problem as the search reads it: numbers, tables and masks instead of records.

Jobs, visits, crews and plant are numbered from 0 in the order given; ``NOBODY`` stands
for the crew of a visit that needs none of ours.
"""

from collections.abc import Mapping
from dataclasses import dataclass

from scheduling.domain.abilities import Modes
from scheduling.domain.policy import Policy
from scheduling.domain.prices import Prices
from scheduling.domain.problem import Problem

NOBODY = -1
HALVES_PER_DAY = 2

LagTable = tuple[int, ...]  # first slot allowed, by exclusive end of the visit before


@dataclass(frozen=True, slots=True)
class CLink:
    """The visit may start at ``table[end of the visit before]``."""

    before: int
    table: LagTable


@dataclass(frozen=True, slots=True)
class CVisit:
    """One visit: ``modes`` by crew index or ``NOBODY``, starts already cut by rules.

    ``needs`` are (plant index, pieces). ``nearness`` is what moving it costs in points.
    """

    index: int
    key: int
    job: int
    links: tuple[CLink, ...]
    modes: Mapping[int, Modes]
    needs: tuple[tuple[int, int], ...] = ()
    old_start: int | None = None
    old_crew: int | None = None
    nearness: int = 0


@dataclass(frozen=True, slots=True)
class CJob:
    """One job: its visits in order, the ends by which it should be done.

    ``crews`` are the crews that can do all of it (only those are tried when one crew
    has to do it all); empty when nobody can.
    """

    index: int
    key: int
    visits: tuple[int, ...]
    crews: tuple[int, ...]
    one_crew: bool
    promised_end: int | None
    wanted_end: int | None
    weight: int
    tentative: bool


@dataclass(frozen=True, slots=True)
class CPlant:
    """Shared plant: pieces owned, and (slots, pieces) that are out."""

    count: int
    out: tuple[tuple[int, int], ...] = ()


@dataclass(frozen=True, slots=True)
class Compiled:
    """All of it. ``shares[c]`` are the crews that share a person with ``c``, and ``c``.

    ``travel[job][crew]`` are one-way minutes for each working day.
    """

    problem: Problem
    policy: Policy
    horizon: int
    now: int
    visits: tuple[CVisit, ...]
    jobs: tuple[CJob, ...]
    shares: tuple[tuple[int, ...], ...]
    plant: tuple[CPlant, ...]
    travel: tuple[tuple[int, ...], ...]
    prices: Prices

    def drive(self, job: int, crew: int, halves: int) -> int:
        """One-way minutes × working days of a visit; half a day counts as one."""
        if crew == NOBODY:
            return 0
        return self.travel[job][crew] * (-(-halves // HALVES_PER_DAY))

    def lateness(self, job: int, end: int) -> tuple[int, int]:
        """Weighted half-days late against the promised and the wanted date."""
        record = self.jobs[job]
        return (
            _late(end, record.promised_end) * record.weight,
            _late(end, record.wanted_end) * record.weight,
        )

    def late_price(self, job: int, end: int) -> int:
        """What ending a job there costs."""
        promised, wanted = self.lateness(job, end)
        return self.prices.promised * promised + self.prices.wanted * wanted

    def change_points(self, visit: CVisit, crew: int, start: int) -> int:
        """Points for moving a published visit: its nearness, twice with a new crew."""
        if visit.old_start is None:
            return 0
        moved = int(start != visit.old_start)
        return visit.nearness * (moved + int(crew != visit.old_crew))


def _late(end: int, due: int | None) -> int:
    return 0 if due is None else max(0, end - due)
