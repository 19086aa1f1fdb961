"""How far to trust a few figures of one group, given what all groups together show.

A group's estimate lies between its own mean and the mean of all, the nearer to its own
the more figures it has and the less they scatter.

Sources: H. Bühlmann and E. Straub, "Glaubwürdigkeit für Schadensätze", Mitteilungen der
Vereinigung schweizerischer Versicherungsmathematiker 70 (1970), 111-133; H. Bühlmann and
A. Gisler, "A Course in Credibility Theory and its Applications", Springer 2005, chapter 4;
for the mean of all drawn towards a known one, W. S. Jewell, "The use of collateral data in
credibility theory: a hierarchical model", Giornale dell'Istituto Italiano degli Attuari 38
(1975), 1-16 (all remembered).
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from math import sqrt
from statistics import fmean

Groups = Mapping[str, Sequence[float]]


@dataclass(frozen=True, slots=True)
class Structure:
    """How figures vary: ``within`` a group around its own mean, ``between`` the means.

    Both are variances, in the square of the figures' unit.
    """

    within: float
    between: float


@dataclass(frozen=True, slots=True)
class Shrunk:
    """What is believed of one group."""

    count: int
    mean: float  # of its own figures; the mean of all when it has none
    trust: float  # credibility Z, 0 to 1: the share of its own mean in the estimate
    estimate: float
    next_spread: float  # standard deviation of its next figure around the estimate


def unbiased_structure(groups: Groups) -> Structure:
    """The usual unbiased estimators, one figure one weight; ``between`` may be negative.

    Bühlmann and Gisler (2005), section 4.8. At least two groups, one of them with at
    least two figures; ValueError otherwise.
    """
    rows = [row for row in groups.values() if row]
    total = sum(map(len, rows))
    freedom = total - len(rows)
    if len(rows) < 2 or freedom < 1:
        raise ValueError("two groups and a group of two figures are needed")
    within = _squares_within(rows) / freedom
    overall = fmean(figure for row in rows for figure in row)
    spread = sum(len(row) * (fmean(row) - overall) ** 2 for row in rows)
    size = total - sum(len(row) ** 2 for row in rows) / total
    return Structure(within, (spread - within * (len(rows) - 1)) / size)


def _squares_within(rows: Sequence[Sequence[float]]) -> float:
    return sum((figure - fmean(row)) ** 2 for row in rows for figure in row)


def guarded_structure(groups: Groups, guess: Structure, worth: float) -> Structure:
    """The unbiased estimators, mixed with a guess that is worth ``worth`` figures.

    With few figures the unbiased ones swing wildly, and one group gives none at all. Each
    is weighted by its degrees of freedom, the guess by ``worth``; a negative ``between``
    counts as 0. The mixing is our choice, no source.
    """
    rows = [row for row in groups.values() if row]
    inside, across = sum(map(len, rows)) - len(rows), len(rows) - 1
    within = (worth * guess.within + _squares_within(rows)) / (worth + inside)
    if across < 1 or inside < 1:
        return Structure(within, guess.between)
    between = max(unbiased_structure(groups).between, 0.0)
    mixed = (worth * guess.between + across * between) / (worth + across)
    return Structure(within, mixed)


def collective_mean(groups: Groups, structure: Structure, prior_spread: float) -> float:
    """The mean of all groups, drawn towards 0 the fewer there are.

    Group means are weighted by their credibility (Bühlmann and Gisler, section 4.4), and
    0 as one more mean with standard deviation ``prior_spread`` (Jewell 1975).
    """
    weights = {
        key: 1 / (structure.between + structure.within / len(row))
        for key, row in groups.items()
        if row
    }
    pull = sum(weight * fmean(groups[key]) for key, weight in weights.items())
    return pull / (sum(weights.values()) + 1 / prior_spread**2)


def shrunk(row: Sequence[float], structure: Structure, collective: float) -> Shrunk:
    """A group's estimate: Z × its own mean + (1 - Z) × the mean of all.

    Z = n ÷ (n + within ÷ between), Bühlmann and Straub (1970).
    """
    count = len(row)
    mean = fmean(row) if row else collective
    known = count * structure.between
    trust = known / (known + structure.within) if known else 0.0
    unsure = structure.between * (1 - trust)
    return Shrunk(
        count=count,
        mean=mean,
        trust=trust,
        estimate=trust * mean + (1 - trust) * collective,
        next_spread=sqrt(structure.within + unsure),
    )
