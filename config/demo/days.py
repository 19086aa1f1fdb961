"""Working days of the demo firm, counted from the day the demo is made."""

from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from functools import cached_property
from zoneinfo import ZoneInfo

from scheduling.public_holidays import public_holidays

REACH = timedelta(days=250)  # calendar days either way; the stories stay within it


@dataclass(frozen=True)
class WorkingDays:
    """Counts working days. Day 0 is the last working day that has begun at ``now``."""

    now: datetime
    zone: ZoneInfo
    place: str

    @cached_property
    def _days(self) -> list[date]:
        middle = self.now.astimezone(self.zone).date()
        first, last = middle - REACH, middle + REACH
        holidays = public_holidays(self.place, first, last)
        every = (first + timedelta(days=n) for n in range((last - first).days))
        return [day for day in every if day.weekday() < 5 and day not in holidays]

    @cached_property
    def _zero(self) -> int:
        today = self.now.astimezone(self.zone).date()
        return max(i for i, day in enumerate(self._days) if day <= today)

    def day(self, offset: int) -> date:
        """The working day that many working days from day 0."""
        return self._days[self._zero + offset]

    def at(self, offset: int | date, clock: str) -> datetime:
        """A moment on that day, by the firm's clock."""
        day = self.day(offset) if isinstance(offset, int) else offset
        return datetime.combine(day, time.fromisoformat(clock), self.zone)

    def from_moment(self, moment: datetime) -> date:
        """The first working day whose morning is not before that moment."""
        local = moment.astimezone(self.zone)
        first = local.date() + timedelta(days=local.hour >= 7)
        return next(day for day in self._days if day >= first)
