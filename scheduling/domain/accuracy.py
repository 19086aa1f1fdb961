"""Whether forecasts keep what they promise: as many done by the day as they said."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from math import comb
from statistics import median

FEWEST = 5  # forecasts before anything is said of them; our choice
LUCK = 0.9  # what is said to be luck happens this often to honest forecasts


@dataclass(frozen=True, slots=True)
class Judged:
    """One forecast and what happened. ``done_on`` None: not done by ``today``."""

    half_on: date
    most_on: date
    done_on: date | None
    today: date

    def kept(self, day: date) -> bool | None:
        """Whether the job was done by that day; None while nobody can know."""
        if self.done_on is not None:
            return self.done_on <= day
        return False if self.today > day else None


@dataclass(frozen=True, slots=True)
class Tally:
    """Of ``known`` forecasts ``kept`` were; honest ones keep ``low`` to ``high``."""

    share: float
    known: int
    kept: int

    @property
    def fair_range(self) -> tuple[int, int]:
        """Counts that luck alone explains nine times in ten (exact binomial)."""
        return _middle(self.known, self.share)

    @property
    def says(self) -> str:
        """ "hopeful", "fair" or "cautious"; empty with too few known."""
        if self.known < FEWEST:
            return ""
        low, high = self.fair_range
        if self.kept < low:
            return "hopeful"
        return "cautious" if self.kept > high else "fair"


@dataclass(frozen=True, slots=True)
class Accuracy:
    """How good the forecasts were."""

    half: Tally
    most: Tally
    typical_days_off: float | None  # median of done - half, finished jobs; late is > 0

    @property
    def typical_says(self) -> str:
        """When a typical job was done, before "under ..."; empty while none is done."""
        off = self.typical_days_off
        if off is None:
            return ""
        if off == 0:
            return "on the very day"
        days = "1 day" if abs(off) == 1 else f"{abs(off):g} days"
        return f"{days} {'after' if off > 0 else 'before'} the day"


def accuracy(forecasts: Iterable[Judged]) -> Accuracy:
    """Compare forecasts with what happened, jobs that are late and not done included."""
    listed = list(forecasts)
    off = [(f.done_on - f.half_on).days for f in listed if f.done_on is not None]
    return Accuracy(
        half=_tally(0.5, [f.kept(f.half_on) for f in listed]),
        most=_tally(0.8, [f.kept(f.most_on) for f in listed]),
        typical_days_off=median(off) if off else None,
    )


def _tally(share: float, kept: list[bool | None]) -> Tally:
    known = [one for one in kept if one is not None]
    return Tally(share, len(known), sum(known))


def _middle(count: int, share: float) -> tuple[int, int]:
    tail = (1 - LUCK) / 2
    chances = [
        comb(count, n) * share**n * (1 - share) ** (count - n) for n in range(count + 1)
    ]
    return _first(chances, tail), count - _first(chances[::-1], tail)


def _first(chances: list[float], tail: float) -> int:
    """The smallest count whose lower tail reaches ``tail``."""
    total = 0.0
    for count, chance in enumerate(chances):
        total += chance
        if total > tail:
            return count
    return len(chances) - 1
