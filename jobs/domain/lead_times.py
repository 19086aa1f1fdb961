"""How long approvals take here, from the firm's own past ones.

A lead time is the calendar days from lodging to the decision, less the days the clock
stood still because more was asked for. Too few past ones say nothing: then the usual days
of the kind stand, with a rule of thumb around them (common practice, no source).
"""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from jobs.domain.approvals import Event, Standing, Step, days_stopped, standing_on

ENOUGH = 5  # past approvals of a kind before they are believed
SOONER, LATER = 0.75, 1.5  # rule of thumb around the usual days
_DECIDED = {Step.GRANTED, Step.GRANTED_IF, Step.REFUSED}


@dataclass(frozen=True, slots=True)
class Range:
    """When an open application is likely to be decided."""

    earliest: date
    likely: date
    latest: date
    past: int  # own approvals it rests on; 0 for the rule of thumb
    told: bool = False  # somebody gave the office the day
    overdue: bool = False  # later than they said, or than it usually takes


def lead_days(events: Sequence[Event]) -> int | None:
    """Days the last decided application took; None when none was decided."""
    lodged: date | None = None
    taken = None
    for event in events:
        if event.step is Step.LODGED:
            lodged = event.happened_on
        elif event.step in _DECIDED and lodged is not None:
            stopped = days_stopped(events, event.happened_on)
            taken = (event.happened_on - lodged).days - stopped
    return taken


def likely_range(
    day: date,
    *,
    events: Sequence[Event],
    usual_days: int,
    expected_on: date | None,
    past: Sequence[int],
) -> Range | None:
    """When it is likely to come back, as seen on ``day``; None when it is not lodged.

    The middle half of past lead times, or the rule of thumb; never a day gone by.
    """
    standing = standing_on(day, required=True, events=events)
    if standing not in {Standing.LODGED, Standing.WAITING_ON_US}:
        return None
    if expected_on is not None and expected_on > day:
        return Range(expected_on, expected_on, expected_on, past=0, told=True)
    lodged = max(e.happened_on for e in events if _lodged_by(e, day))
    start = lodged + timedelta(days=days_stopped(events, day))
    own = len(past) >= ENOUGH
    soon, middle, late = _quarters(past) if own else _thumb(usual_days)
    tomorrow = day + timedelta(days=1)
    days = [max(tomorrow, start + timedelta(days=n)) for n in (soon, middle, late)]
    past_due = expected_on is not None or start + timedelta(days=late) < day
    return Range(
        days[0],
        days[1],
        days[2],
        past=len(past) if own else 0,
        overdue=standing is Standing.LODGED and past_due,
    )


def _lodged_by(event: Event, day: date) -> bool:
    return event.step is Step.LODGED and event.happened_on <= day


def _thumb(usual_days: int) -> tuple[int, int, int]:
    return round(usual_days * SOONER), usual_days, round(usual_days * LATER)


def _quarters(past: Sequence[int]) -> tuple[int, int, int]:
    """First quartile, median, third quartile, by linear interpolation, whole days."""
    ordered = sorted(past)

    def at(share: float) -> int:
        place = share * (len(ordered) - 1)
        low = int(place)
        high = min(low + 1, len(ordered) - 1)
        return round(ordered[low] + (place - low) * (ordered[high] - ordered[low]))

    return at(0.25), at(0.5), at(0.75)
