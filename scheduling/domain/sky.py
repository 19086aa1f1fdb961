"""Days lost to rain: how likely, and which ones in a run of a forecast."""

from collections.abc import Mapping, Sequence
from random import Random

from scheduling.domain.calendar import WorkCalendar

RAIN_WORTH = 20.0  # working days that the allowance of a month is worth; our choice
WEEK = 7  # days drawn at a time
RAIN_ALLOWANCE = 0.08  # share of days lost when nobody said; common practice, no source


def rain_chances(
    worked: Mapping[int, float], lost: Mapping[int, float], allowed: Sequence[float]
) -> tuple[float, ...]:
    """Chance that a working day is lost to weather, January first.

    The mean of a beta distribution: the allowance of the month, worth
    :data:`RAIN_WORTH` days, and the firm's own days ``worked`` (lost ones among them) and
    ``lost`` by month. A. Gelman and others, "Bayesian Data Analysis", section 2.4
    (remembered).
    """
    return tuple(
        (RAIN_WORTH * allowed[month - 1] + lost.get(month, 0))
        / (RAIN_WORTH + max(worked.get(month, 0), lost.get(month, 0)))
        for month in range(1, 13)
    )


class Sky:
    """Rain or not, each day drawn once a run and the same for all jobs."""

    def __init__(
        self, calendar: WorkCalendar, rain: Sequence[float], runs: int, seed: int
    ) -> None:
        self._horizon = len(calendar)
        self._day = [(slot.day - calendar.first).days for slot in calendar.slots]
        self._chance = [rain[slot.day.month - 1] for slot in calendar.slots]
        self._lucks = [Random(f"{seed}-{n}-sky") for n in range(runs)]  # noqa: S311 - no secret
        self._drawn: list[list[float]] = [[] for _ in range(runs)]

    def worked(self, starts: Sequence[int], halves: Sequence[int]) -> list[int]:
        """Ends (exclusive) of so many half-days of work, days lost to rain left out."""
        return [
            self._end(run, start, length)
            for run, (start, length) in enumerate(zip(starts, halves, strict=True))
        ]

    def _end(self, run: int, at: int, halves: int) -> int:
        drawn, day, chance = self._drawn[run], self._day, self._chance
        while halves and at < self._horizon:
            if day[at] >= len(drawn):
                self._draw(run, day[at])
            halves -= drawn[day[at]] >= chance[at]
            at += 1
        return at

    def _draw(self, run: int, day: int) -> None:
        """In the order of the days, whoever asks first."""
        drawn, luck = self._drawn[run], self._lucks[run]
        drawn += [luck.random() for _ in range(len(drawn), day + WEEK)]
