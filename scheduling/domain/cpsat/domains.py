"""Bit masks as solver domains, and lags that run on the calendar."""

from collections.abc import Iterator
from dataclasses import dataclass

from ortools.sat.python import cp_model

from scheduling.domain.compiled import LagTable


@dataclass(frozen=True, slots=True)
class Saving:
    """A wait that is shorter when the visit before ends on one of these slots."""

    slots: int
    literal: cp_model.IntVar


def spans(mask: int) -> Iterator[tuple[int, int]]:
    """Runs of set bits, both ends included."""
    base = 0
    while mask:
        skip = (mask & -mask).bit_length() - 1
        mask >>= skip
        length = (~mask & (mask + 1)).bit_length() - 1
        yield base + skip, base + skip + length - 1
        mask >>= length
        base += skip + length


def domain(mask: int) -> cp_model.Domain:
    """A set of slots as a domain."""
    return cp_model.Domain.from_intervals([list(span) for span in spans(mask)])


def add_lag(
    model: cp_model.CpModel,
    end: cp_model.LinearExpr,
    ends: int,
    table: LagTable,
    start: cp_model.IntVar,
) -> list[Saving]:
    """``start >= table[end]`` for every end in the mask ``ends``, exactly.

    Counted in slots the wait shrinks when part of it falls on days off. It is the
    longest wait less a saving, and each saving is a literal that holds the end to the
    slots where it applies: few literals, where a table over all slots stalls the solver.
    """
    waits: dict[int, int] = {}
    for low, high in spans(ends):
        for at in range(low, high + 1):
            wait = table[at] - at
            waits[wait] = waits.get(wait, 0) | (1 << at)
    longest = max(waits)
    least = end + longest
    savings: list[Saving] = []
    for wait, slots in sorted(waits.items()):
        if wait < longest:
            literal = model.new_bool_var("")
            holds = model.add_linear_expression_in_domain(end, domain(slots))
            holds.only_enforce_if(literal)
            least -= (longest - wait) * literal
            savings.append(Saving(slots, literal))
    if len(savings) > 1:
        model.add_at_most_one(saving.literal for saving in savings)
    model.add(start >= least)
    return savings
