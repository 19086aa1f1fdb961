"""Half-days and the firm's working calendar.

The schedule counts in *working half-days*: slot 0 is the first half-day anybody works,
slot 1 the next one, whatever weekend or holiday lies between. What happens in real time
(sealant curing over a Sunday) is turned into slots here, exactly.
"""

from bisect import bisect_left
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field
from datetime import date, datetime, time, timedelta
from enum import StrEnum
from functools import cached_property

from jobs.domain.methods import LagKind

DAY_NAMES = ("Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun")
MONTH_NAMES = (
    *("Jan", "Feb", "Mar", "Apr", "May", "Jun"),
    *("Jul", "Aug", "Sep", "Oct", "Nov", "Dec"),
)
MINUTES_PER_DAY = 24 * 60


class Half(StrEnum):
    """The two half-days of a day; the values sort in the order of the day."""

    AM = "am"
    PM = "pm"

    def __str__(self) -> str:
        return "morning" if self is Half.AM else "afternoon"


@dataclass(frozen=True, slots=True, order=True)
class Slot:
    """One half-day of one date. Slots compare in time."""

    day: date
    half: Half

    def __str__(self) -> str:
        return f"{say_day(self.day)}, {self.half}"


@dataclass(frozen=True, slots=True)
class HalfHours:
    """When a half-day begins and ends on the clock of the firm's time zone.

    The defaults are common practice, no source; a firm sets its own.
    """

    am_start: time = time(7)
    am_end: time = time(11)
    pm_start: time = time(11, 30)
    pm_end: time = time(15, 30)

    def start(self, half: Half) -> time:
        """Clock time at which the half-day begins."""
        return self.am_start if half is Half.AM else self.pm_start

    def end(self, half: Half) -> time:
        """Clock time at which the half-day ends."""
        return self.am_end if half is Half.AM else self.pm_end

    def minutes(self, half: Half) -> int:
        """Length of the half-day in minutes."""
        return _minute(self.end(half)) - _minute(self.start(half))

    @property
    def clock_hours(self) -> float:
        """Hours from the start of the day to its end, the break between counted."""
        return (_minute(self.pm_end) - _minute(self.am_start)) / 60


@dataclass(frozen=True, slots=True)
class Closure:
    """Days on which the whole firm is shut, both ends included."""

    first: date
    last: date
    why: str


MONDAY_TO_FRIDAY = frozenset((day, half) for day in range(5) for half in Half)


@dataclass(frozen=True)
class WorkCalendar:
    """The half-days the firm works between two dates, numbered from 0.

    ``slots`` are in order and distinct. ``off`` names why a day of the working week is
    not worked (the holiday or the closure). Instants are clock time of the firm's zone:
    a cure that spans a change of the clocks is an hour out, which no half-day notices.
    """

    first: date
    last: date
    slots: tuple[Slot, ...]
    off: Mapping[date, str]
    hours: HalfHours = field(default_factory=HalfHours)

    def __len__(self) -> int:
        return len(self.slots)

    def slot(self, index: int) -> Slot:
        """The half-day of a slot index; IndexError outside the calendar."""
        if not 0 <= index < len(self.slots):
            raise IndexError(f"slot {index} is outside the calendar")
        return self.slots[index]

    def index(self, slot: Slot) -> int | None:
        """Index of a half-day, None when the firm does not work it."""
        return self._numbers.get(slot)

    def index_from(self, slot: Slot) -> int:
        """Index of the first working half-day at or after ``slot``.

        ``len(calendar)`` when there is none left.
        """
        at = self._numbers.get(slot)
        return bisect_left(self.slots, slot) if at is None else at

    def index_after(self, slot: Slot) -> int:
        """Index of the first working half-day strictly after ``slot``."""
        at = self._numbers.get(slot)
        return bisect_left(self.slots, slot) if at is None else at + 1

    def end_of(self, day: date) -> int:
        """End index (exclusive) of work that is finished by the evening of ``day``."""
        return self.index_after(Slot(day, Half.PM))

    def after_lag(self, end: int, hours: float, kind: LagKind) -> int:
        """First slot that may start once ``hours`` have passed since slot ``end - 1``.

        ``end`` is an exclusive end index; 0 means "finished before the calendar".
        Working hours are counted in whole half-days, rounded up.
        """
        if kind is LagKind.WORKING:
            halves = -(-round(hours * 60) // self.hours.minutes(Half.AM))
            return min(end + halves, len(self.slots))
        if not self.slots:
            return 0
        done = self._ends[end - 1] if end > 0 else self._starts[0]
        return bisect_left(self._starts, done + round(hours * 60))

    def lag_table(self, hours: float, kind: LagKind) -> tuple[int, ...]:
        """``after_lag`` for every end index 0..len(calendar)."""
        if kind is LagKind.WORKING or not self.slots:
            ends = range(len(self.slots) + 1)
            return tuple(self.after_lag(end, hours, kind) for end in ends)
        return tuple(self._after_calendar_lags(round(hours * 60)))

    def _after_calendar_lags(self, minutes: int) -> Iterator[int]:
        """Both sides only ever grow, so one walk finds every start."""
        starts, at = self._starts, 0
        for done in (starts[0], *self._ends):
            while at < len(starts) and starts[at] < done + minutes:
                at += 1
            yield at

    def starts_at(self, slot: Slot) -> datetime:
        """Naive clock time at which a half-day begins."""
        return datetime.combine(slot.day, self.hours.start(slot.half))

    def ends_at(self, slot: Slot) -> datetime:
        """Naive clock time at which a half-day ends."""
        return datetime.combine(slot.day, self.hours.end(slot.half))

    @cached_property
    def _numbers(self) -> dict[Slot, int]:
        return {slot: index for index, slot in enumerate(self.slots)}

    @cached_property
    def _starts(self) -> tuple[int, ...]:
        return tuple(self._minutes(s.day, self.hours.start(s.half)) for s in self.slots)

    @cached_property
    def _ends(self) -> tuple[int, ...]:
        return tuple(self._minutes(s.day, self.hours.end(s.half)) for s in self.slots)

    def _minutes(self, day: date, clock: time) -> int:
        return (day - self.first).days * MINUTES_PER_DAY + _minute(clock)


def working_calendar(
    first: date,
    last: date,
    *,
    week: Iterable[tuple[int, Half]] = MONDAY_TO_FRIDAY,
    holidays: Mapping[date, str] | None = None,
    closures: Iterable[Closure] = (),
    hours: HalfHours | None = None,
) -> WorkCalendar:
    """The working half-days from ``first`` to ``last``, both included.

    ``week`` holds (weekday, half) pairs, Monday is 0. ``holidays`` maps dates to names.
    """
    off = dict(holidays or {})
    for closure in closures:
        for day in days_between(closure.first, closure.last):
            off.setdefault(day, closure.why)
    pattern = frozenset(week)
    slots = tuple(
        Slot(day, half)
        for day in days_between(first, last)
        if day not in off
        for half in Half
        if (day.weekday(), half) in pattern
    )
    return WorkCalendar(first, last, slots, off, hours or HalfHours())


def days_between(first: date, last: date) -> Iterable[date]:
    """Every date from ``first`` to ``last``, both included."""
    return (first + timedelta(days=n) for n in range((last - first).days + 1))


def say_day(day: date) -> str:
    """A date as people write it: "Mon 3 Aug 2026"."""
    name, month = DAY_NAMES[day.weekday()], MONTH_NAMES[day.month - 1]
    return f"{name} {day.day} {month} {day.year}"


def _minute(clock: time) -> int:
    return clock.hour * 60 + clock.minute
