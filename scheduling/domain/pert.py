"""Three-point estimates: a duration as a guess with a spread.

Source: D. G. Malcolm, J. H. Roseboom, C. E. Clark and W. Fazar, "Application of a
Technique for Research and Development Program Evaluation", Operations Research 7
(1959), 646-669.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from math import sqrt
from statistics import NormalDist


@dataclass(frozen=True, slots=True)
class ThreePoint:
    """Best, likeliest and worst duration, in one unit."""

    best: float
    likely: float
    worst: float

    def __post_init__(self) -> None:
        if not self.best <= self.likely <= self.worst:
            raise ValueError("a three-point estimate runs from best to worst")

    @property
    def mean(self) -> float:
        """Expected duration (best + 4 likely + worst) / 6."""
        return (self.best + 4 * self.likely + self.worst) / 6

    @property
    def variance(self) -> float:
        """Square of a sixth of the span, in the unit squared."""
        return ((self.worst - self.best) / 6) ** 2


def chance_within(limit: float, estimates: Iterable[ThreePoint]) -> float:
    """Chance that a chain of tasks ends within ``limit``, 0 to 1.

    The chain is taken as a sum of independent durations, hence normal; other chains are
    ignored, so the figure is hopeful when a second chain is nearly as long.
    """
    chain = tuple(estimates)
    mean = sum(estimate.mean for estimate in chain)
    spread = sqrt(sum(estimate.variance for estimate in chain))
    if spread == 0:
        return 1.0 if mean <= limit else 0.0
    return NormalDist(mean, spread).cdf(limit)
