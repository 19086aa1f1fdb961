"""The firm's working calendar: its week, public holidays and closures."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from zoneinfo import ZoneInfo

from jobs.library import packs
from jobs.models import Firm
from scheduling.domain.calendar import (
    MONDAY_TO_FRIDAY,
    Closure,
    Half,
    HalfHours,
    Slot,
    WorkCalendar,
    days_between,
    working_calendar,
)
from scheduling.models import Closure as ClosureRow
from scheduling.public_holidays import public_holidays

MIDDAY_BREAK = timedelta(minutes=30)  # common practice, no source
PACKING_MINUTES = 15  # of each half-day: unload, breaks, pack up; common practice
SATURDAY = 5


@dataclass(frozen=True, slots=True)
class DayOff:
    """A day on which the firm does not work, and why."""

    day: date
    why: str
    is_public_holiday: bool


def half_hours(firm: Firm) -> HalfHours:
    """The clock times of the firm's half-days; half an hour's break before midday."""
    starts, midday, ends = _clock_times(firm)
    morning_ends = (datetime.combine(date.min, midday) - MIDDAY_BREAK).time()
    return HalfHours(
        am_start=starts,
        am_end=max(morning_ends, _minute_after(starts)),
        pm_start=midday,
        pm_end=ends,
    )


def _clock_times(firm: Firm) -> list[time]:
    """Start, midday and end; a firm that was never saved has its defaults as text."""
    return [
        time.fromisoformat(str(clock))
        for clock in (firm.starts_at, firm.midday_at, firm.ends_at)
    ]


def minutes_per_half(firm: Firm) -> int:
    """Minutes of work in the shorter half-day: what a visit's length is counted in."""
    hours = half_hours(firm)
    return max(1, min(hours.minutes(half) for half in Half) - PACKING_MINUTES)


def minutes_of_day(firm: Firm) -> int:
    """Minutes of work in a whole day, both halves."""
    hours = half_hours(firm)
    return max(1, sum(hours.minutes(half) - PACKING_MINUTES for half in Half))


def calendar_between(firm: Firm, first: date, last: date) -> WorkCalendar:
    """The working half-days from one day to another, both included. One query."""
    rows = ClosureRow.objects.filter(from_on__lte=last, to_on__gte=first)
    week = set(MONDAY_TO_FRIDAY)
    if firm.works_saturday:
        week |= {(SATURDAY, half) for half in Half}
    return working_calendar(
        first,
        last,
        week=week,
        holidays=public_holidays(_place(firm, first), first, last),
        closures=[Closure(row.from_on, row.to_on, row.reason) for row in rows],
        hours=half_hours(firm),
    )


def why_closed(firm: Firm, day: date) -> str:
    """Why nobody works on a day; empty when somebody does. One query."""
    calendar = calendar_between(firm, day, day)
    return "" if len(calendar) else calendar.off.get(day, "the firm does not work then")


def days_off(firm: Firm, first: date, last: date) -> list[DayOff]:
    """Public holidays and closures between two days, in order. One query."""
    public = public_holidays(_place(firm, first), first, last)
    closed = _closed_days(first, last)
    return [
        DayOff(day, public.get(day) or closed[day], day in public)
        for day in sorted({*public, *closed})
    ]


def _place(firm: Firm, day: date) -> str:
    """Country and part of it, as the firm's pack says."""
    pack = packs().get(firm.pack)
    if pack is None:
        return ""
    part = pack.find("holidays.subdivision", day)
    country = pack.find("holidays.country", day)
    return "-".join(value.text for value in (country, part) if value).lower()


def _closed_days(first: date, last: date) -> Mapping[date, str]:
    rows = ClosureRow.objects.filter(from_on__lte=last, to_on__gte=first)
    return {
        day: row.reason
        for row in rows
        for day in days_between(max(first, row.from_on), min(last, row.to_on))
    }


def next_slot(firm: Firm, at: datetime) -> Slot:
    """The first half-day that has not begun yet: what may still be planned."""
    local = at.astimezone(ZoneInfo(firm.time_zone))
    hours = half_hours(firm)
    if local.time() < hours.am_start:
        return Slot(local.date(), Half.AM)
    if local.time() < hours.pm_start:
        return Slot(local.date(), Half.PM)
    return Slot(local.date() + timedelta(days=1), Half.AM)


def _minute_after(clock: time) -> time:
    return (datetime.combine(date.min, clock) + timedelta(minutes=1)).time()
