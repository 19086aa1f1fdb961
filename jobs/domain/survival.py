"""How long a wait lasts, from waits that are over and waits that still go on.

A wait that still goes on has lasted *at least* so long (it is right-censored). Leaving it
out would make every forecast hopeful: what takes long is what is still out.

Sources: E. L. Kaplan and P. Meier, "Nonparametric Estimation from Incomplete
Observations", Journal of the American Statistical Association 53 (1958), 457-481;
V. Susarla and J. Van Ryzin, "Nonparametric Bayesian Estimation of Survival Curves from
Incomplete Observations", the same journal 71 (1976), 897-902 (both remembered).
"""

from bisect import bisect_left
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from math import erfc, log, sqrt
from operator import neg
from statistics import NormalDist

# Rule of thumb before a firm has waits of its own: half are over in the usual days, four
# in five in half as long again (common practice, no source).
LATE_SHARE, LATE_BY = 0.8, 1.5
LONGEST = 10  # times the longest known wait: where a curve ends


@dataclass(frozen=True, slots=True)
class Wait:
    """Whole days waited; ``over`` is False when it had not ended by then."""

    days: int
    over: bool


@dataclass(frozen=True, slots=True)
class Curve:
    """Chance of still waiting after 0, 1, 2 … days, never rising, each 0 to 1."""

    still: tuple[float, ...]

    def after(self, days: int) -> float:
        """Chance of still waiting at the end of that many days."""
        if days < 0:
            return 1.0
        return self.still[min(days, len(self.still) - 1)]

    def days_for(self, share: float, waited: int = -1) -> int | None:
        """Days within which ``share`` of such waits are over.

        ``waited``: only those count that lasted longer than these days. None when the
        curve does not fall so far: nobody has seen one of these end.
        """
        among = self.after(waited)
        if among <= 0:
            return None
        goal = (1 - share) * among + 1e-12
        first = max(waited + 1, 0)
        found = bisect_left(self.still, -goal, lo=min(first, len(self.still)), key=neg)
        return found if found < len(self.still) else None


def kaplan_meier(waits: Sequence[Wait]) -> Curve:
    """The product-limit estimate: of those still waiting, what share ends each day.

    Kaplan and Meier (1958), eq. 2b. A wait that goes on after ``n`` days was at risk of
    ending on day ``n``.
    """
    last = max((wait.days for wait in waits), default=0)
    return _curve(waits, Curve((1.0,)), worth=0.0, last=last)


def with_prior(waits: Sequence[Wait], prior: Curve, worth: float) -> Curve:
    """The product-limit estimate, begun from a guess that is worth some past waits.

    Susarla and Van Ryzin (1976): the mean of the posterior of a Dirichlet process with
    centre ``prior`` and mass ``worth``, on whole days. Without waits it is the prior; as
    ``worth`` goes to 0 it is Kaplan and Meier's; past the longest wait the prior leads on.
    """
    return _curve(waits, prior, worth, last=len(prior.still) - 1)


def _curve(waits: Sequence[Wait], prior: Curve, worth: float, last: int) -> Curve:
    ended = Counter(wait.days for wait in waits if wait.over)
    lasted = Counter(wait.days for wait in waits)
    at_risk, chance, still = float(len(waits)), 1.0, []
    for day in range(last + 1):
        before, after = prior.after(day - 1), prior.after(day)
        ends = worth * (before - after) + ended[day]
        among = worth * before + at_risk
        chance *= 1 - ends / among if among > 0 else 1.0
        still.append(max(chance, 0.0))
        at_risk -= lasted[day]
    return Curve(tuple(still))


def rule_of_thumb(usual_days: int, longest: int = 0) -> Curve:
    """What is known without own waits: a log-normal around the usual days.

    Half are over in ``usual_days`` and :data:`LATE_SHARE` in :data:`LATE_BY` times as
    many. It reaches well past ``longest``, the longest wait that will be asked about.
    """
    usual = max(usual_days, 1)
    spread = log(LATE_BY) / NormalDist().inv_cdf(LATE_SHARE)
    last = LONGEST * max(usual, longest)
    places = ((log(day + 0.5) - log(usual)) / spread for day in range(last))
    still = [erfc(place / sqrt(2)) / 2 for place in places]
    return Curve((*still, 0.0))
