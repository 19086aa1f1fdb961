"""The solver's model of some jobs, all others standing still.

One start variable a visit; one literal a crew for the whole job (or for each visit of a
job that may change crews); an optional interval for each way to do a visit; crews never
overlap; plant is cumulative. What stands still is cut out of the start domains, so the
model only grows with the jobs that are free.
"""

from bisect import bisect_right
from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import reduce
from operator import or_

from ortools.sat.python import cp_model

from scheduling.domain import masks
from scheduling.domain.board import Board
from scheduling.domain.compiled import NOBODY
from scheduling.domain.cpsat.domains import Saving, add_lag, domain, spans
from scheduling.domain.tables import Spot, Spots, Tables

Literal = cp_model.IntVar | int  # 1 when there is no choice
Choice = tuple[int, int, int, int]  # crew, halves, starts, price


class NoWay(Exception):
    """A free job has no start left; the model cannot be made."""


@dataclass(frozen=True, slots=True)
class Way:
    """A choice, and the literal that is true when it is taken."""

    crew: int
    halves: int
    starts: int
    price: int
    literal: Literal


@dataclass(frozen=True, slots=True)
class VisitModel:
    """Start, end and the ways of one visit."""

    start: cp_model.IntVar
    end: cp_model.LinearExpr
    ends: int
    ways: tuple[Way, ...]


@dataclass(frozen=True, slots=True)
class Limits:
    """What is cut off: ends beyond the horizon, and jobs dearer than ``dearest``.

    Both keep every plan that is cheaper than the one in hand, as long as ``dearest`` is
    its cost less the least all other jobs can cost.
    """

    horizon: int
    dearest: Mapping[int, int]  # by job: its highest price worth looking at


class FirmModel:
    """The model of ``free`` jobs around a board that holds the others."""

    def __init__(self, board: Board, free: Sequence[int], limits: Limits) -> None:
        self.board = board
        self.tables: Tables = board.tables
        self.free = tuple(free)
        self.limits = limits
        self.model = cp_model.CpModel()
        self.visits: dict[int, VisitModel] = {}
        self._price: list[cp_model.LinearExprT] = []
        self._hints: dict[int, tuple[cp_model.IntVar, int]] = {}
        self._by_crew: dict[int, list[cp_model.IntervalVar]] = {}
        self._by_plant: dict[int, list[tuple[cp_model.IntervalVar, int]]] = {}
        self._late: dict[int, list[tuple[cp_model.IntVar, int]]] = {}
        self._savings: list[tuple[int, Saving]] = []
        self._stays: dict[int, cp_model.IntVar] = {}
        self._crew_literals: dict[int, list[tuple[cp_model.IntVar, int]]] = {}
        for job in self.free:
            self._add_job(job)
        self._add_crews()
        self._add_plant()
        self.model.minimize(sum(self._price))

    def read(self, solver: cp_model.CpSolver, job: int) -> Spots:
        """Where a solution puts a job."""
        return tuple(self._spot(solver, visit) for visit in self.tables.visits[job])

    def hint(self, plan: Mapping[int, Spots]) -> None:
        """Start the solver from where all free jobs lie; to be called once."""
        ends: dict[int, int] = {}
        for job in self.free:
            for spot in plan[job]:
                self._hint_visit(spot)
                ends[spot[0]] = spot[2] + spot[3]
            last = max(ends[visit] for visit in self.tables.visits[job])
            for late, due in self._late.get(job, ()):
                self._hint(late, max(0, last - due))
        for visit, saving in self._savings:
            self._hint(saving.literal, saving.slots >> ends[visit] & 1)
        for variable, value in self._hints.values():
            self.model.add_hint(variable, value)

    def _spot(self, solver: cp_model.CpSolver, visit: int) -> Spot:
        found = self.visits[visit]
        start = solver.value(found.start)
        way = next(
            way
            for way in found.ways
            if isinstance(way.literal, int) or solver.boolean_value(way.literal)
        )
        return visit, way.crew, start, way.halves

    def _hint(self, variable: cp_model.IntVar, value: int) -> None:
        self._hints[variable.index] = variable, value

    def _hint_visit(self, spot: Spot) -> None:
        visit, crew, start, halves = spot
        found = self.visits[visit]
        self._hint(found.start, start)
        if isinstance(found.end, cp_model.IntVar):
            self._hint(found.end, start + halves)
        for way in found.ways:
            if not isinstance(way.literal, int):
                taken = (way.crew, way.halves) == (crew, halves)
                self._hint(way.literal, int(taken))
        for literal, crew_of in self._crew_literals.get(self.tables.job[visit], ()):
            if crew != NOBODY:
                self._hint(literal, int(crew_of == crew))
        if visit in self._stays:
            self._hint(self._stays[visit], int(start == self.tables.old[visit]))

    # -- one job

    def _add_job(self, job: int) -> None:
        choices = self._choices(job)
        tables = self.tables
        if tables.one_crew[job]:
            crews = self._one_of(
                {c for visit in tables.crewed[job] for c, *_ in choices[visit]}
            )
        else:
            crews = {}
        self._crew_literals[job] = [
            (literal, crew)
            for crew, literal in crews.items()
            if not isinstance(literal, int)
        ]
        for visit in tables.visits[job]:
            self.visits[visit] = self._add_visit(visit, choices[visit], crews)
        for visit in tables.visits[job]:
            for before, table in tables.links[visit]:
                found = self.visits[before]
                start = self.visits[visit].start
                savings = add_lag(self.model, found.end, found.ends, table, start)
                self._savings.extend((before, saving) for saving in savings)
        self._add_lateness(job)

    def _choices(self, job: int) -> dict[int, list[Choice]]:
        """Every way to do each visit of a job that the limits leave."""
        tables = self.tables
        last = self._last_end(job)
        choices = {
            visit: self._visit_choices(visit, last) for visit in tables.visits[job]
        }
        if tables.one_crew[job] and tables.crewed[job]:
            able = set(tables.crews[job])
            for visit in tables.crewed[job]:
                able &= {choice[0] for choice in choices[visit]}
            for visit in tables.crewed[job]:
                choices[visit] = [
                    choice for choice in choices[visit] if choice[0] in able
                ]
        if not all(choices.values()):
            raise NoWay(job)
        return choices

    def _visit_choices(self, visit: int, last: int) -> list[Choice]:
        found = []
        for crew, modes in self.tables.modes[visit].items():
            for halves, starts, price in modes:
                room = self.board.room(visit, crew, halves)
                left = starts & room & masks.span(0, last - halves + 1)
                if left:
                    found.append((crew, halves, left, price))
        return found

    def _last_end(self, job: int) -> int:
        """The last end worth looking at: later ones cost too much."""
        late, dearest = self.tables.late[job], self.limits.dearest.get(job)
        horizon = self.limits.horizon
        if dearest is None:
            return horizon
        return min(horizon, bisect_right(late, dearest) - 1)

    def _one_of(self, crews: set[int]) -> dict[int, Literal]:
        if len(crews) == 1:
            return dict.fromkeys(crews, 1)
        literals = {crew: self.model.new_bool_var("") for crew in sorted(crews)}
        if literals:
            self.model.add_exactly_one(literals.values())
        return dict(literals)

    # -- one visit

    def _add_visit(
        self, visit: int, choices: Sequence[Choice], crews: Mapping[int, Literal]
    ) -> VisitModel:
        starts = reduce(or_, (choice[2] for choice in choices))
        ends = reduce(or_, (choice[2] << choice[1] for choice in choices))
        start = self.model.new_int_var_from_domain(domain(starts), "")
        lengths = {halves for _, halves, _, _ in choices}
        end: cp_model.LinearExpr
        if len(lengths) == 1:
            end = start + lengths.pop()
        else:
            end = self.model.new_int_var_from_domain(domain(ends), "")
        ways = tuple(
            Way(*choice, literal)
            for choice, literal in zip(
                choices, self._literals(choices, crews), strict=True
            )
        )
        found = VisitModel(start, end, ends, ways)
        for way in ways:
            self._add_way(visit, found, way, starts)
        self._add_changes(visit, found)
        return found

    def _literals(
        self, choices: Sequence[Choice], crews: Mapping[int, Literal]
    ) -> list[Literal]:
        """A literal for each choice; the crew's own where it has one mode."""
        if len(choices) == 1:
            return [1]
        by_crew = Counter(choice[0] for choice in choices)
        literals: list[Literal] = [
            crews[choice[0]]
            if by_crew[choice[0]] == 1 and choice[0] in crews
            else self.model.new_bool_var("")
            for choice in choices
        ]
        for crew, count in by_crew.items():
            if count > 1 and crew in crews:
                mine = (
                    literal
                    for choice, literal in zip(choices, literals, strict=True)
                    if choice[0] == crew
                )
                self.model.add(sum(mine) == crews[crew])
        if not crews or choices[0][0] == NOBODY:
            self.model.add_exactly_one(literals)
        return literals

    def _add_way(self, visit: int, found: VisitModel, way: Way, starts: int) -> None:
        model, literal = self.model, way.literal
        if isinstance(literal, int):
            interval = model.new_fixed_size_interval_var(found.start, way.halves, "")
        else:
            interval = model.new_optional_fixed_size_interval_var(
                found.start, way.halves, literal, ""
            )
            if way.starts != starts:
                allowed = domain(way.starts)
                inside = model.add_linear_expression_in_domain(found.start, allowed)
                inside.only_enforce_if(literal)
            if isinstance(found.end, cp_model.IntVar):
                whole = model.add(found.end == found.start + way.halves)
                whole.only_enforce_if(literal)
        if way.crew != NOBODY:
            self._by_crew.setdefault(way.crew, []).append(interval)
        needs = () if self.board.is_reserved(visit) else self.tables.needs[visit]
        for plant, pieces in needs:
            self._by_plant.setdefault(plant, []).append((interval, pieces))
        if way.price:
            self._price.append(way.price * literal)

    def _add_changes(self, visit: int, found: VisitModel) -> None:
        """Half a price for a start that moved, and for a crew that changed."""
        old, price = self.tables.old[visit], self.tables.move_price[visit]
        if old < 0 or not price:
            return
        if any(way.starts >> old & 1 for way in found.ways):
            stays = self.model.new_bool_var("")
            self.model.add(found.start == old).only_enforce_if(stays)
            self._price.append(price * (1 - stays))
            self._stays[visit] = stays
        else:
            self._price.append(price)
        same = [w.literal for w in found.ways if w.crew == self.tables.old_crew[visit]]
        self._price.append(price * (1 - sum(same)))

    def _add_lateness(self, job: int) -> None:
        for price, due in self._due(job):
            sinks = [self.visits[visit] for visit in self.tables.sinks[job]]
            last = max(found.ends.bit_length() - 1 for found in sinks)
            if last <= due:
                continue
            late = self.model.new_int_var(0, last - due, "")
            for found in sinks:
                self.model.add(late >= found.end - due)
            self._price.append(price * late)
            self._late.setdefault(job, []).append((late, due))

    def _due(self, job: int) -> list[tuple[int, int]]:
        record, prices = self.tables.compiled.jobs[job], self.tables.prices
        terms = (
            (prices.promised * record.weight, record.promised_end),
            (prices.wanted * record.weight, record.wanted_end),
        )
        return [(price, end) for price, end in terms if price and end is not None]

    # -- what visits share

    def _add_crews(self) -> None:
        """No two bookings of a crew, or of crews that share a person, at once."""
        shares = self.tables.compiled.shares
        for crew, intervals in sorted(self._by_crew.items()):
            others = [c for c in shares[crew] if c != crew and c in self._by_crew]
            if not others:
                self.model.add_no_overlap(intervals)
            for other in others:
                if other > crew:
                    self.model.add_no_overlap([*intervals, *self._by_crew[other]])

    def _add_plant(self) -> None:
        for plant, rows in sorted(self._by_plant.items()):
            tally = self.board.tallies[plant]
            intervals = [interval for interval, _ in rows]
            pieces = [pieces for _, pieces in rows]
            if sum(pieces) <= tally.capacity and not self._used(plant, 1):
                continue
            for count in range(1, tally.capacity + 1):
                for low, high in spans(self._used(plant, count)):
                    intervals.append(self._fixed(low, high + 1))
                    pieces.append(1)
            self.model.add_cumulative(intervals, pieces, tally.capacity)

    def _fixed(self, first: int, end: int) -> cp_model.IntervalVar:
        return self.model.new_fixed_size_interval_var(first, end - first, "")

    def _used(self, plant: int, count: int) -> int:
        """Slots on which what stands still uses so many pieces or more."""
        tally = self.board.tallies[plant]
        return self.board.every & ~tally.room_for(tally.capacity - count + 1)
