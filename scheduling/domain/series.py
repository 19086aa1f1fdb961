"""The days of a visit as one recurring event: nights and days between stay free.

An invitation may hold one UID only (RFC 5546, section 3.2.2), so days cannot be events
of their own as in a feed. They are one series instead: daily at the usual hours, days
that are not worked left out (EXDATE), days with other hours moved (RECURRENCE-ID; RFC
5545, sections 3.8.4.4, 3.8.5.1 and 3.8.5.3).
"""

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta


@dataclass(frozen=True, slots=True)
class Span:
    """Clock times of one day, in the firm's zone."""

    starts: datetime
    ends: datetime

    @property
    def day(self) -> date:
        """The day of it."""
        return self.starts.date()


@dataclass(frozen=True, slots=True)
class Series:
    """``first`` repeated daily, ``count`` times in all, less ``left_out``.

    ``moved`` are starts that stand in the series, each with when it really is.
    """

    first: Span
    count: int
    left_out: tuple[datetime, ...]
    moved: tuple[tuple[datetime, Span], ...]


def series(spans: Sequence[Span]) -> Series:
    """One or more days, in order and at most one span a day, as a series."""
    opens, closes = _usual_hours(spans)
    by_day = {span.day: span for span in spans}
    count = (spans[-1].day - spans[0].day).days + 1
    days = [spans[0].day + timedelta(days=n) for n in range(count)]
    places = {day: datetime.combine(day, opens) for day in days}
    return Series(
        first=Span(places[days[0]], datetime.combine(days[0], closes)),
        count=count,
        left_out=tuple(places[day] for day in days if day not in by_day),
        moved=tuple(
            (places[day], span)
            for day, span in by_day.items()
            if (span.starts.time(), span.ends.time()) != (opens, closes)
        ),
    )


def _usual_hours(spans: Sequence[Span]) -> tuple[time, time]:
    hours = Counter((span.starts.time(), span.ends.time()) for span in spans)
    return max(hours, key=hours.__getitem__)  # the first of several as usual
