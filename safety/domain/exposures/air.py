"""Substances in the air: averages over a shift, mixtures, and the silica half test."""

from collections.abc import Iterable
from dataclasses import dataclass

from safety.domain.exposures.ranges import within

SHIFT_HOURS = 8.0


@dataclass(frozen=True, slots=True)
class Breathed:
    """Some hours at one concentration; any unit, the same throughout."""

    concentration: float
    hours: float


def average_8h(spells: Iterable[Breathed]) -> float:
    """Eight-hour average: sum(C x T) / 8, whatever the length of the day.

    Source: 29 CFR 1910.1000(d)(1)(i) (read). Range: concentration from 0, together no
    more than 24 hours.
    """
    found = tuple(spells)
    for spell in found:
        within("Concentration", spell.concentration, 0, 1e9)
        within("Hours", spell.hours, 0, 24)
    within("Hours of a day", sum(spell.hours for spell in found), 0, 24)
    return sum(spell.concentration * spell.hours for spell in found) / SHIFT_HOURS


def mixture(shares: Iterable[tuple[float, float]]) -> float:
    """Equivalent exposure of a mixture: sum of concentration / limit; 1 is the limit.

    Source: 29 CFR 1910.1000(d)(2)(i) (read). Range: limits above 0.
    """
    found = tuple(shares)
    for concentration, limit in found:
        within("Concentration", concentration, 0, 1e9)
        within("Limit", limit, 1e-9, 1e9)
    return sum(concentration / limit for concentration, limit in found)


def past_half(average_mgm3: float, standard_mgm3: float) -> bool:
    """Whether an average is above half the exposure standard: high risk processing.

    Source: WHS Regulations 2011 (Cth) r 529CA (read in a law mirror).
    """
    within("Exposure standard in mg/m3", standard_mgm3, 1e-9, 1e6)
    return within("Average in mg/m3", average_mgm3, 0, 1e6) > standard_mgm3 / 2
