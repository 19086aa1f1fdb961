"""A task's rate, moved towards the hours that came back from site.

Each task done gives one figure: the natural logarithm of the hours it took over the hours
that the library's rate gave. So "twice as long" and "half as long" lie equally far from
0, and one slip of the finger does not carry the rest away. What is believed of a kind of
task is the credibility estimate of its figures (see :mod:`jobs.domain.credibility`).
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from math import exp, log, sqrt
from statistics import stdev

from jobs.domain.credibility import (
    Groups,
    Shrunk,
    Structure,
    collective_mean,
    guarded_structure,
    shrunk,
)

# What is guessed of ratios before hours come back (our choice, no source): one and the
# same task takes within a third more or less in two cases of three, the library is within
# a fifth of the truth for two kinds of three, and the firm as a whole is within a fifth of
# the library. The first two are worth some figures each.
GUESS = Structure(within=log(1.35) ** 2, between=log(1.2) ** 2)
GUESS_WORTH = 4.0
FIRM_SPREAD = log(1.2)
FEWEST = 3  # tasks of a kind before a rate is proposed
CLOSE = 1.05  # a rate this near to the one in use is left alone
IN_DOUBT = 10.0  # hours so many times off, either way, are a slip of the finger


def log_ratio(actual_minutes: float, library_minutes: float) -> float:
    """ln(actual ÷ library), both in person-minutes above 0; else ValueError."""
    return log(actual_minutes / library_minutes)


def is_in_doubt(actual_minutes: float, estimated_minutes: float) -> bool:
    """Whether hours are so far off the estimate that somebody should look again."""
    return abs(log_ratio(actual_minutes, estimated_minutes)) > log(IN_DOUBT)


@dataclass(frozen=True, slots=True)
class Learned:
    """What hours that came back say of all kinds of task, as logarithms of ratios."""

    structure: Structure
    collective: float
    groups: Groups

    def about(self, kind: str) -> Shrunk:
        """What is believed of one kind; without hours of its own, what all show."""
        return shrunk(self.groups.get(kind, ()), self.structure, self.collective)


def learn(groups: Groups) -> Learned:
    """Estimates for every kind from the log-ratios of each."""
    structure = guarded_structure(groups, GUESS, GUESS_WORTH)
    collective = collective_mean(groups, structure, FIRM_SPREAD)
    return Learned(structure, collective, groups)


@dataclass(frozen=True, slots=True)
class Evidence:
    """What the office sees before it decides about one kind of task.

    Ratios are hours taken ÷ hours of the library's rate; 1.2 is a fifth slower.
    """

    kind: str
    times: int  # tasks of the kind with their hours back
    mean_ratio: float  # geometric mean
    low_ratio: float  # two in three lie between low and high
    high_ratio: float
    trust: float  # 0 to 1: how far its own hours count
    in_use: float  # factor on the library's minutes in jobs opened today
    proposed: float  # two decimals

    @property
    def is_proposed(self) -> bool:
        """Whether there is enough to go by, and enough to gain."""
        off = abs(log(self.proposed / self.in_use))
        return self.times >= FEWEST and off >= log(CLOSE)


def evidence(learned: Learned, in_use: Mapping[str, float]) -> tuple[Evidence, ...]:
    """Every kind with hours back, the furthest from the rate in use first."""
    found = [
        _evidence(kind, row, learned.about(kind), in_use.get(kind, 1.0))
        for kind, row in learned.groups.items()
        if row
    ]
    found.sort(key=lambda e: (not e.is_proposed, -abs(log(e.proposed / e.in_use))))
    return tuple(found)


def _evidence(
    kind: str, row: Sequence[float], believed: Shrunk, in_use: float
) -> Evidence:
    spread = stdev(row) if len(row) > 1 else sqrt(GUESS.within)
    return Evidence(
        kind=kind,
        times=believed.count,
        mean_ratio=exp(believed.mean),
        low_ratio=exp(believed.mean - spread),
        high_ratio=exp(believed.mean + spread),
        trust=believed.trust,
        in_use=in_use,
        proposed=round(exp(believed.estimate), 2),
    )
