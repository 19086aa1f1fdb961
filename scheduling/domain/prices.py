"""One number for a plan: prices that respect the policy's order of goals.

The search compares plans by a single whole number. Goals of a lower level are priced so
low that all of them together never outweigh one unit of the level above, so comparing
the numbers is comparing level by level.
"""

from collections.abc import Mapping
from dataclasses import dataclass

from scheduling.domain.policy import Policy, Term

# What counts as one usual unit when a search weighs goals against each other: a half-day
# late, two points of change, an hour of driving.
UNIT = {
    Term.UNPLACED: 1,
    Term.PROMISED: 1,
    Term.WANTED: 1,
    Term.CHANGES: 2,
    Term.TRAVEL: 60,
    Term.IDLE: 1,
}
STEP = 6
SCALE = 60
OUT_OF_PLAN = 2000  # half-days late that a job left out stands for in a search

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
        for level, scale in zip(policy.levels, scales(policy, ceilings), strict=True):
            for term, weight in level:
                price[term] += scale * weight if term is not Term.IDLE else 0
        return cls(
            unplaced=price[Term.UNPLACED],
            promised=price[Term.PROMISED],
            wanted=price[Term.WANTED],
            changes=price[Term.CHANGES],
            travel=price[Term.TRAVEL],
        )

    @classmethod
    def soft(cls, policy: Policy) -> "Prices":
        """Prices near enough to each other for a search to trade one for another.

        A level's usual unit is worth ``STEP`` units of the level below. Where the policy
        has one level beside placing the jobs, the soft prices are the true ones.
        """
        levels = [level for level in policy.levels[1:] if level != ((Term.IDLE, 1),)]
        price = dict.fromkeys(Term, 0)
        for rank, level in enumerate(reversed(levels)):
            for term, weight in level:
                unit = UNIT[term] if len(levels) > 1 else 1
                scale = SCALE * STEP**rank if len(levels) > 1 else 1
                price[term] += weight * scale // unit
        dearest = max(price.values(), default=0)
        return cls(
            unplaced=OUT_OF_PLAN * max(1, dearest),
            promised=price[Term.PROMISED],
            wanted=price[Term.WANTED],
            changes=price[Term.CHANGES],
            travel=price[Term.TRAVEL],
        )


def scales(policy: Policy, ceilings: Ceilings) -> list[int]:
    """What a unit of each level is worth: more than all the levels below can add up to."""
    found = []
    scale = 1
    for level in reversed(policy.levels):
        found.append(scale)
        most = sum(w * ceilings[term] for term, w in level if term is not Term.IDLE)
        scale += scale * most
    return found[::-1]


def levels_of(policy: Policy, score: Mapping[Term, int]) -> tuple[int, ...]:
    """A score as the tuple the policy compares."""
    return tuple(
        sum(weight * score[term] for term, weight in level) for level in policy.levels
    )
