"""From the firm's terms to numbers and masks."""

from bisect import bisect_right
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import replace
from datetime import date

from jobs.domain.methods import LagKind
from scheduling.domain import masks
from scheduling.domain.abilities import Abilities, Mode, Modes
from scheduling.domain.calendar import Slot
from scheduling.domain.compiled import (
    NOBODY,
    CJob,
    CLink,
    Compiled,
    CPlant,
    CVisit,
    LagTable,
)
from scheduling.domain.policy import DEFAULT_POLICY, Policy, Term
from scheduling.domain.prices import Ceilings, Prices
from scheduling.domain.problem import Job, Problem, Visit

# Points for moving a published visit that lies fewer than so many working half-days
# ahead. The firm's decision, no source: a week that people have arranged is dear.
NEARNESS = ((10, 4), (20, 3), (40, 2))
FAR = 1


def compile_problem(problem: Problem, policy: Policy = DEFAULT_POLICY) -> Compiled:
    """Tables and masks for the search.

    Raises ``ValueError`` when records contradict each other: an unknown key, a key used
    twice, a visit that waits for one that does not stand before it.
    """
    return _Compiler(problem).compile(policy)


class _Compiler:
    def __init__(self, problem: Problem) -> None:
        self.problem = problem
        self.calendar = problem.calendar
        self.horizon = len(problem.calendar)
        self.now = problem.calendar.index_from(problem.now)
        self.abilities = Abilities(problem)
        self.crews = _numbered("crew", (crew.key for crew in problem.crews))
        self.plant = _numbered("plant", (plant.key for plant in problem.plant))
        every = (visit.key for job in problem.jobs for visit in job.visits)
        self.visits = _numbered("visit", every)
        _numbered("job", (job.key for job in problem.jobs))
        self.pins = {pin.visit: pin for pin in problem.pins}
        self.published = {row.visit: row for row in problem.published}
        self.tables: dict[tuple[float, LagKind], LagTable] = {}

    def compile(self, policy: Policy) -> Compiled:
        by_job = [self._visits(i, job) for i, job in enumerate(self.problem.jobs)]
        visits = [visit for mine in by_job for visit in mine]
        jobs = [
            self._job(index, job, mine)
            for index, (job, mine) in enumerate(
                zip(self.problem.jobs, by_job, strict=True)
            )
        ]
        minutes = self.problem.travel_min
        compiled = Compiled(
            problem=self.problem,
            policy=policy,
            horizon=self.horizon,
            now=self.now,
            visits=tuple(visits),
            jobs=tuple(jobs),
            shares=self._shares(),
            plant=self._plant(),
            travel=tuple(
                tuple(
                    minutes.get((crew.key, job.key), 0) for crew in self.problem.crews
                )
                for job in self.problem.jobs
            ),
            prices=Prices(0, 0, 0, 0, 0),
        )
        return replace(compiled, prices=Prices.of(policy, ceilings(compiled)))

    def _job(self, index: int, job: Job, visits: Sequence[CVisit]) -> CJob:
        crewed = [set(visit.modes) for visit in visits if NOBODY not in visit.modes]
        return CJob(
            index=index,
            key=job.key,
            visits=tuple(visit.index for visit in visits),
            crews=tuple(sorted(set.intersection(*crewed))) if crewed else (NOBODY,),
            one_crew=job.one_crew,
            promised_end=self._end_of(job.promised),
            wanted_end=self._end_of(job.wanted),
            weight=job.weight,
            tentative=job.tentative,
        )

    def _end_of(self, day: date | None) -> int | None:
        return None if day is None else self.calendar.end_of(day)

    def _visits(self, index: int, job: Job) -> list[CVisit]:
        stopped = self.abilities.stopped(job)
        mine = [self._visit(index, job, visit, stopped) for visit in job.visits]
        keep = {visit.index for visit in mine}
        for visit in mine:
            for link in visit.links:
                if link.before not in keep or link.before >= visit.index:
                    raise ValueError(f"visit {visit.key} waits for one not before it")
        return _trimmed(mine)

    def _visit(self, index: int, job: Job, visit: Visit, stopped: int) -> CVisit:
        key = self.visits[visit.key]
        pin = self.pins.get(visit.key)
        start = None if pin is None else pin.start
        allowed = self._allowed(job, visit, start)
        modes = {
            crew: cut
            for crew, found in self._crew_modes(visit, stopped)
            if (cut := _cut(found, allowed))
        }
        if pin is not None and pin.crew is not None and visit.needs_crew:
            chosen = _known("crew", self.crews, pin.crew)
            modes = {crew: found for crew, found in modes.items() if crew == chosen}
        old = self.published.get(visit.key)
        old_start = None if old is None else self.calendar.index_from(old.start)
        return CVisit(
            index=key,
            key=visit.key,
            job=index,
            links=tuple(
                CLink(
                    _known("visit", self.visits, after.visit),
                    self._table(after.lag_hours, after.lag_kind),
                )
                for after in visit.after
            ),
            modes=modes,
            needs=tuple(
                (_known("plant", self.plant, need.plant), need.count)
                for need in visit.plant
                if need.count
            ),
            old_start=old_start,
            old_crew=self._old_crew(visit),
            nearness=0 if old_start is None else _nearness(old_start - self.now),
        )

    def _crew_modes(self, visit: Visit, stopped: int) -> Iterable[tuple[int, Modes]]:
        if not visit.needs_crew:
            return [(NOBODY, self.abilities.modes(None, visit, stopped))]
        return [
            (index, self.abilities.modes(crew, visit, stopped))
            for crew, index in self.crews.items()
        ]

    def _allowed(self, job: Job, visit: Visit, pinned: Slot | None) -> int:
        """Starts left by release dates, by today, by the weather and by a pin."""
        waits = (ready.first for ready in (*job.ready, *visit.ready))
        first = max(map(self.calendar.index_from, waits), default=0)
        if pinned is not None:
            at = self.calendar.index(pinned)
            return 0 if at is None or at < first else 1 << at
        allowed = masks.span(max(first, self.now), self.horizon)
        for away in visit.not_begun:
            allowed &= ~masks.between(self.calendar, away.first, away.last)
        return allowed

    def _old_crew(self, visit: Visit) -> int | None:
        old = self.published.get(visit.key)
        if old is None:
            return None
        return NOBODY if old.crew is None else self.crews.get(old.crew)

    def _table(self, hours: float, kind: LagKind) -> LagTable:
        if (hours, kind) not in self.tables:
            self.tables[hours, kind] = self.calendar.lag_table(hours, kind)
        return self.tables[hours, kind]

    def _shares(self) -> tuple[tuple[int, ...], ...]:
        people = [{m.person for m in crew.members} for crew in self.problem.crews]
        return tuple(
            tuple(
                other
                for other, theirs in enumerate(people)
                if other == crew or mine & theirs
            )
            for crew, mine in enumerate(people)
        )

    def _plant(self) -> tuple[CPlant, ...]:
        return tuple(
            CPlant(
                plant.count,
                tuple(
                    (masks.between(self.calendar, out.first, out.last), out.count)
                    for out in plant.out
                ),
            )
            for plant in self.problem.plant
        )


def _trimmed(visits: list[CVisit]) -> list[CVisit]:
    """Cut starts that no visit before or after can live with.

    Left alone when a visit has no start at all: the job cannot be placed anyway.
    """
    if not all(visit.modes for visit in visits):
        return visits
    kept = {visit.index: visit for visit in visits}
    for visit in visits:
        ends = ((link, _earliest_end(kept[link.before])) for link in visit.links)
        low = max((link.table[end] for link, end in ends), default=0)
        kept[visit.index] = _not_before(visit, low)
        if not kept[visit.index].modes:
            return [kept[v.index] for v in visits]
    for visit in reversed(visits):
        last = _last_start(kept[visit.index])
        for link in visit.links:
            end = bisect_right(link.table, last) - 1
            kept[link.before] = _done_by(kept[link.before], end)
    return [kept[visit.index] for visit in visits]


def _earliest_end(visit: CVisit) -> int:
    return min(
        masks.first_at(mode.starts, 0) + mode.halves for mode in _every_mode(visit)
    )


def _last_start(visit: CVisit) -> int:
    return max((m.starts.bit_length() - 1 for m in _every_mode(visit)), default=-1)


def _every_mode(visit: CVisit) -> Iterator[Mode]:
    return (mode for modes in visit.modes.values() for mode in modes)


def _not_before(visit: CVisit, low: int) -> CVisit:
    return _recut(visit, lambda mode: mode.starts >> low << low)


def _done_by(visit: CVisit, end: int) -> CVisit:
    return _recut(
        visit, lambda mode: mode.starts & masks.span(0, end - mode.halves + 1)
    )


def _recut(visit: CVisit, keep: Callable[[Mode], int]) -> CVisit:
    modes = {
        crew: tuple(
            Mode(mode.halves, starts) for mode in modes if (starts := keep(mode))
        )
        for crew, modes in visit.modes.items()
    }
    return replace(visit, modes={crew: found for crew, found in modes.items() if found})


def _cut(modes: Modes, allowed: int) -> Modes:
    cut = (Mode(mode.halves, mode.starts & allowed) for mode in modes)
    return tuple(mode for mode in cut if mode.starts)


def _numbered(kind: str, keys: Iterable[int]) -> dict[int, int]:
    numbered: dict[int, int] = {}
    for key in keys:
        if key in numbered:
            raise ValueError(f"{kind} {key} is given twice")
        numbered[key] = len(numbered)
    return numbered


def _known(kind: str, numbers: Mapping[int, int], key: int) -> int:
    if key not in numbers:
        raise ValueError(f"there is no {kind} {key}")
    return numbers[key]


def _nearness(ahead: int) -> int:
    return next((points for limit, points in NEARNESS if ahead < limit), FAR)


def ceilings(compiled: Compiled) -> Ceilings:
    """More of each term than any plan can have."""
    horizon = compiled.horizon
    late = [compiled.lateness(job.index, horizon) for job in compiled.jobs]
    return {
        Term.UNPLACED: len(compiled.jobs),
        Term.PROMISED: sum(promised for promised, _ in late),
        Term.WANTED: sum(wanted for _, wanted in late),
        Term.CHANGES: sum(2 * visit.nearness for visit in compiled.visits),
        Term.TRAVEL: sum(_most_driving(compiled, visit) for visit in compiled.visits),
        Term.IDLE: horizon * len(compiled.shares),
    }


def _most_driving(compiled: Compiled, visit: CVisit) -> int:
    return max(
        (
            compiled.drive(visit.job, crew, mode.halves)
            for crew, modes in visit.modes.items()
            for mode in modes
        ),
        default=0,
    )
