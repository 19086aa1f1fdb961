"""From the engine's numbers back to the firm's terms, with reasons."""

from scheduling.domain import bounds, scoring
from scheduling.domain.compiled import NOBODY
from scheduling.domain.conflicts import why_out
from scheduling.domain.prices import levels_of
from scheduling.domain.rules import Rule, RuleBook, RuleKind
from scheduling.domain.run import Run
from scheduling.domain.solution import Booking, Solution, Unplaced
from scheduling.domain.tables import Spot

ROOM_FOR_OTHERS = "It could start sooner; that time is left to other jobs."
AS_PUBLISHED = "It stays where it was published."
AT_ONCE = "It starts with the plan."


def solution_of(run: Run) -> Solution:
    """The best plan of a run as bookings, with score, bound and gap."""
    compiled = run.compiled
    book = RuleBook(compiled, run.plan)
    score = scoring.score(compiled, run.plan)
    cost = levels_of(compiled.policy, score)
    return Solution(
        bookings=bookings(book),
        unplaced=unplaced(book),
        score=score,
        cost=cost,
        bound=run.bound,
        gap=bounds.gap(cost, run.bound),
        proven=bounds.proven(compiled.policy, cost, run.bound),
        origin=run.origin,
        steps=run.steps,
    )


def bookings(book: RuleBook) -> tuple[Booking, ...]:
    """Every placed visit in the order of its start, with why it is not sooner."""
    spots = sorted(book.spots.values(), key=lambda spot: (spot[2], spot[0]))
    return tuple(_booking(book, spot) for spot in spots)


def unplaced(book: RuleBook) -> tuple[Unplaced, ...]:
    """Jobs that are not in the plan, with what stands in their way."""
    return tuple(
        Unplaced(book.compiled.jobs[job].key, why_out(book, job))
        for job, spots in enumerate(book.plan)
        if spots is None
    )


def why_not_sooner(book: RuleBook, spot: Spot) -> str:
    """The first rule that forbids the half-day before a booking's start."""
    visit, _, start, _ = spot
    if start == 0:
        return AT_ONCE
    rule = binding_rule(book, spot)
    if rule is None:
        old = book.compiled.visits[visit].old_start
        return AS_PUBLISHED if old == start else ROOM_FOR_OTHERS
    return AT_ONCE if rule.kind is RuleKind.TODAY else rule.words(start - 1)


def binding_rule(book: RuleBook, spot: Spot) -> Rule | None:
    """The rule that a person would name; None when the visit could start sooner."""
    visit, crew, start, _ = spot
    if start == 0:
        return None
    rules = book.rules(visit, crew)
    return next((rule for rule in rules if rule.says_no(start - 1)), None)


def _booking(book: RuleBook, spot: Spot) -> Booking:
    visit, crew, start, halves = spot
    job = book.compiled.jobs[book.compiled.visits[visit].job]
    return Booking(
        visit=book.compiled.visits[visit].key,
        job=job.key,
        crew=None if crew == NOBODY else book.crews[crew],
        start=book.calendar.slot(start),
        last=book.calendar.slot(start + halves - 1),
        halves=halves,
        tentative=job.tentative,
        why=why_not_sooner(book, spot),
    )
