"""Prices that fit the solver's whole numbers."""

from scheduling.domain.compiled import Compiled
from scheduling.domain.compiling import ceilings
from scheduling.domain.policy import Policy
from scheduling.domain.prices import Prices, scales

LARGEST = 1 << 60  # the solver counts in 64 bits and adds a little


def solver_policy(compiled: Compiled) -> Policy:
    """The policy's first levels, as many as one price can hold."""
    most = ceilings(compiled)
    levels = compiled.policy.levels
    for count in range(len(levels), 2, -1):
        policy = Policy(levels[:count])
        if scales(policy, most)[0] < LARGEST:
            return policy
    return Policy(levels[:2])


def solver_prices(compiled: Compiled) -> Prices:
    """Prices of the levels that fit."""
    return Prices.of(solver_policy(compiled), ceilings(compiled))


def floor_by_level(compiled: Compiled, floor: int) -> tuple[int, ...]:
    """A floor under the single price, as a floor for the levels beside the first.

    Levels compare in order, so this reads: not below the first figure; if equal to it,
    not below the second; and so on.
    """
    policy = solver_policy(compiled)
    found = []
    for scale in scales(policy, ceilings(compiled))[1:]:
        found.append(floor // scale)
        floor %= scale
    return tuple(found)
