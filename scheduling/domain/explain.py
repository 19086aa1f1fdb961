"""What decides a job's date, what would bring it forward, why it cannot start sooner.

Every answer is read off the rules around one plan, with all other jobs where they are.
No solver is needed: a page can ask.
"""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import partial

from scheduling.domain import masks
from scheduling.domain.calendar import Slot
from scheduling.domain.compiled import NOBODY
from scheduling.domain.compiling import compile_problem
from scheduling.domain.conflicts import Conflict, along
from scheduling.domain.problem import Problem
from scheduling.domain.result import AS_PUBLISHED, ROOM_FOR_OTHERS, binding_rule
from scheduling.domain.rules import Rule, RuleBook, RuleKind
from scheduling.domain.solution import Booking
from scheduling.domain.tables import Plan, Spot

LONGEST_CHAIN = 12  # causes; what lies further back is no help to anybody

# Things somebody could do something about, one at a time.
MOVABLE = frozenset(
    {
        RuleKind.READY,
        RuleKind.BOOKED,
        RuleKind.AWAY,
        RuleKind.PEOPLE,
        RuleKind.TICKET,
        RuleKind.PLANT,
        RuleKind.PIN,
        RuleKind.SAME_CREW,
    }
)


@dataclass(frozen=True, slots=True)
class Refusal:
    """A rule that says no to a start, and from when it would say yes (None: never)."""

    kind: RuleKind
    says: str
    yes_from: Slot | None


@dataclass(frozen=True, slots=True)
class CrewAnswer:
    """What stands between one crew (None: no crew needed) and a start."""

    crew: int | None
    refusals: tuple[Refusal, ...]

    @property
    def possible(self) -> bool:
        """Whether nothing does."""
        return not self.refusals


@dataclass(frozen=True, slots=True)
class Cause:
    """One link of the chain behind a date."""

    kind: RuleKind | None  # None: nothing but the plan's own choice
    says: str
    job: int
    visit: int
    start: Slot


@dataclass(frozen=True, slots=True)
class Help:
    """One thing that would bring a job forward, the rest unchanged."""

    kind: RuleKind
    says: str
    needed_by: Slot  # where work would then go on
    done: Slot  # last half-day of the job then
    half_days_sooner: int


class Explainer:
    """Answers about one plan. Building it takes longer than asking."""

    def __init__(self, problem: Problem, bookings: Iterable[Booking]) -> None:
        self.problem = problem
        compiled = compile_problem(problem)
        self.book = RuleBook(compiled, plan_of(problem, bookings))
        self.jobs = {job.key: job.index for job in compiled.jobs}

    def why_not(self, job: int, start: Slot) -> tuple[CrewAnswer, ...]:
        """For every crew, what keeps the job's first visit from starting there.

        The job's own later visits move along; a crew that could start but never finish
        is told so. ``KeyError`` for a job that is not in the problem, ``ValueError`` for
        a half-day nobody works.
        """
        at = self.problem.calendar.index(start)
        if at is None:
            raise ValueError(f"{start} is not worked")
        index = self.jobs[job]
        with self.book.without(index):
            visit = self.book.compiled.jobs[index].visits[0]
            return tuple(
                CrewAnswer(
                    None if crew == NOBODY else self.book.crews[crew],
                    self._refusals(index, visit, crew, at),
                )
                for crew in self._crews(visit)
            )

    def decides(self, job: int) -> tuple[Cause, ...]:
        """The chain of causes behind the job's end, nearest first.

        Empty for a job that is not in the plan.
        """
        spots = self.book.plan[self.jobs[job]]
        if spots is None:
            return ()
        at = max(spots, key=lambda spot: spot[2] + spot[3])
        chain: list[Cause] = []
        while len(chain) < LONGEST_CHAIN:
            rule = binding_rule(self.book, at)
            chain.append(self._cause(at, rule))
            blockers = rule.blockers(at[2] - 1) if rule is not None else ()
            if not blockers:
                break
            last = max(blockers, key=lambda visit: sum(self.book.spots[visit][2:]))
            at = self.book.spots[last]
        return tuple(chain)

    def helps(self, job: int) -> tuple[Help, ...]:
        """What would bring the job's end forward, most first; each thing alone.

        Against the sooner of where the job lies and where it could lie already.
        """
        index = self.jobs[job]
        spots = self.book.plan[index]
        if spots is None:
            return ()
        crew = next((c for _, c, _, _ in spots if c != NOBODY), NOBODY)
        with self.book.without(index):
            now = along(self.book, index, crew)[0]
            best = now if len(now) == len(spots) and _end(now) < _end(spots) else spots
            offers = [
                *self._one_rule_less(index, crew, best),
                *self._other_crews(index, crew, best),
            ]
        told = {offer.says: offer for offer in reversed(offers)}
        return tuple(sorted(told.values(), key=lambda h: (-h.half_days_sooner, h.says)))

    # -- one answer each

    def _refusals(
        self, job: int, visit: int, crew: int, at: int
    ) -> tuple[Refusal, ...]:
        found = [
            Refusal(rule.kind, rule.words(at), self._slot_or_none(rule.allowed, at))
            for rule in self.book.refusals(visit, crew, at)
        ]
        if found:
            return tuple(found)
        stuck = self._stuck(job, crew, {visit: at})
        if stuck is None:
            return ()
        name = self.book.records[stuck.visit].name
        return tuple(
            Refusal(rule.kind, f"Then for “{name}”: {words}", None)
            for rule, words in zip(stuck.rules, stuck.words(), strict=True)
        )

    def _stuck(self, job: int, crew: int, fixed: Mapping[int, int]) -> Conflict | None:
        """Where the job gets stuck from there on; with the first crew, if any will do."""
        compiled = self.book.compiled
        able = compiled.jobs[job].crews or range(len(self.book.crews))
        ways = [
            along(self.book, job, who, fixed=fixed)[1]
            for who in ((crew,) if crew != NOBODY else able)
        ]
        return None if None in ways else ways[0]

    def _cause(self, spot: Spot, rule: Rule | None) -> Cause:
        visit, _, start, _ = spot
        compiled = self.book.compiled
        if rule is not None:
            says = rule.words(start - 1)
        elif compiled.visits[visit].old_start == start:
            says = AS_PUBLISHED
        else:
            says = ROOM_FOR_OTHERS
        return Cause(
            kind=None if rule is None else rule.kind,
            says=says,
            job=compiled.jobs[compiled.visits[visit].job].key,
            visit=compiled.visits[visit].key,
            start=self.problem.calendar.slot(start),
        )

    def _one_rule_less(
        self, job: int, crew: int, spots: Sequence[Spot]
    ) -> Iterator[Help]:
        """Each movable rule that keeps a visit from starting a half-day sooner."""
        asked = set()
        for visit, who, start, _ in spots:
            for rule in self.book.refusals(visit, who, start - 1) if start else ():
                says = rule.words(start - 1)
                if rule.kind not in MOVABLE or says in asked:
                    continue
                asked.add(says)
                keep = partial(_all_but, rule.kind, says, visit)
                sooner, stuck = along(self.book, job, crew, keep)
                if stuck is None and _end(sooner) < _end(spots):
                    at = next(s for v, _, s, _ in sooner if v == visit)
                    yield self._help(rule.kind, says, at, sooner, spots)

    def _other_crews(
        self, job: int, crew: int, spots: Sequence[Spot]
    ) -> Iterator[Help]:
        for other in self.book.compiled.jobs[job].crews:
            if other in (crew, NOBODY):
                continue
            sooner, stuck = along(self.book, job, other)
            if stuck is None and _end(sooner) < _end(spots):
                says = f"{self.book.problem.crews[other].name} does it instead."
                yield self._help(RuleKind.SAME_CREW, says, sooner[0][2], sooner, spots)

    def _help(
        self,
        kind: RuleKind,
        says: str,
        at: int,
        sooner: Sequence[Spot],
        spots: Sequence[Spot],
    ) -> Help:
        calendar = self.problem.calendar
        return Help(
            kind=kind,
            says=says,
            needed_by=calendar.slot(at),
            done=calendar.slot(_end(sooner) - 1),
            half_days_sooner=_end(spots) - _end(sooner),
        )

    def _crews(self, visit: int) -> Iterable[int]:
        crewed = self.book.records[visit].needs_crew
        return range(len(self.book.crews)) if crewed else (NOBODY,)

    def _slot_or_none(self, allowed: int, low: int) -> Slot | None:
        at = masks.first_at(allowed, low)
        return None if at < 0 else self.problem.calendar.slot(at)


def _all_but(kind: RuleKind, says: str, where: int, visit: int, rule: Rule) -> bool:
    """Whether a rule still counts once one is lifted: everywhere if it is a release."""
    if rule.kind is not kind:
        return True
    if kind is RuleKind.READY:
        return rule.words(0) != says
    return visit != where


def _end(spots: Sequence[Spot]) -> int:
    return max(start + halves for _, _, start, halves in spots)


def plan_of(problem: Problem, bookings: Iterable[Booking]) -> Plan:
    """Bookings as a plan by job; a job counts when all of its visits are booked."""
    rows = {booking.visit: booking for booking in bookings}
    crews = {crew.key: index for index, crew in enumerate(problem.crews)}
    plan: Plan = []
    visit = 0
    for job in problem.jobs:
        spots: list[Spot] = []
        for record in job.visits:
            row = rows.get(record.key)
            start = None if row is None else problem.calendar.index(row.start)
            if row is not None and start is not None:
                crew = NOBODY if row.crew is None else crews[row.crew]
                spots.append((visit, crew, start, row.halves))
            visit += 1
        plan.append(tuple(spots) if len(spots) == len(job.visits) else None)
    return plan
