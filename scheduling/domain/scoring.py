"""How good a plan is, term by term."""

from scheduling.domain import masks
from scheduling.domain.compiled import NOBODY, Compiled
from scheduling.domain.policy import Term
from scheduling.domain.prices import levels_of
from scheduling.domain.tables import Plan


def score(compiled: Compiled, plan: Plan) -> dict[Term, int]:
    """Every term of a plan, in the term's own unit."""
    total = dict.fromkeys(Term, 0)
    for job, spots in enumerate(plan):
        if spots is None:
            total[Term.UNPLACED] += 1
            continue
        end = max(start + halves for _, _, start, halves in spots)
        promised, wanted = compiled.lateness(job, end)
        total[Term.PROMISED] += promised
        total[Term.WANTED] += wanted
        for visit, crew, start, halves in spots:
            points = compiled.change_points(compiled.visits[visit], crew, start)
            total[Term.CHANGES] += points
            total[Term.TRAVEL] += compiled.drive(job, crew, halves)
    total[Term.IDLE] = _idle(compiled, plan)
    return total


def cost(compiled: Compiled, plan: Plan) -> tuple[int, ...]:
    """A plan's terms as the policy compares them."""
    return levels_of(compiled.policy, score(compiled, plan))


def _idle(compiled: Compiled, plan: Plan) -> int:
    """Slots between a crew's first and last booking on which it has none."""
    busy = [0] * len(compiled.shares)
    for spots in plan:
        for _, crew, start, halves in spots or ():
            if crew != NOBODY:
                busy[crew] |= masks.span(start, start + halves)
    return sum(
        slots.bit_length() - masks.first_at(slots, 0) - slots.bit_count()
        for slots in busy
        if slots
    )
