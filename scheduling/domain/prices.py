"""One number for a plan: prices that respect the policy's order of goals.

The search compares plans by a single whole number. Goals of a lower level are priced so
low that all of them together never outweigh one unit of the level above, so comparing
the numbers is comparing level by level.
"""

from collections.abc import Mapping
from dataclasses import dataclass

from scheduling.domain.policy import Policy, Term

Ceilings = Mapping[Term, int]  # no plan reaches more of a term than this


@dataclass(frozen=True, slots=True)
class Prices:
    """Price of one unit of each term. Idle time is left to the final comparison."""

    unplaced: int
    promised: int
    wanted: int
    changes: int
    travel: int

    @classmethod
    def of(cls, policy: Policy, ceilings: Ceilings) -> "Prices":
        """Prices that put the policy's levels in order under the given ceilings."""
        price = dict.fromkeys(Term, 0)
        scale = 1
        for level in reversed(policy.levels):
            terms = [(term, weight) for term, weight in level if term is not Term.IDLE]
            for term, weight in terms:
                price[term] += scale * weight
            scale += sum(scale * weight * ceilings[term] for term, weight in terms)
        return cls(
            unplaced=max(price[Term.UNPLACED], scale),
            promised=price[Term.PROMISED],
            wanted=price[Term.WANTED],
            changes=price[Term.CHANGES],
            travel=price[Term.TRAVEL],
        )


def levels_of(policy: Policy, score: Mapping[Term, int]) -> tuple[int, ...]:
    """A score as the tuple the policy compares."""
    return tuple(
        sum(weight * score[term] for term, weight in level) for level in policy.levels
    )
