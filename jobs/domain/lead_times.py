"""How long approvals take here, from the firm's own past and present ones.

A lead time is the calendar days from lodging to the decision, less the days the clock
stood still because more was asked for. Applications that are still out count as waits
that have lasted so long already. The usual days of the kind are a guess worth a few past
approvals, so the firm's own take over as they come back.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from jobs.domain.approvals import Event, Standing, Step, days_stopped, standing_on
from jobs.domain.survival import Curve, Wait, rule_of_thumb, with_prior

USUAL_WORTH = 3.0  # past approvals that the usual days are worth; our choice, no source
SOON, HALF, MOST = 0.2, 0.5, 0.8  # of such applications, back by then
_DECIDED = {Step.GRANTED, Step.GRANTED_IF, Step.REFUSED}


@dataclass(frozen=True, slots=True)
class LeadTimes:
    """How long a kind of approval takes, and the evidence it rests on."""

    curve: Curve
    back: int  # own applications that were decided
    waiting: int  # own applications still out, or taken back undecided
    late_after: int  # days: four in five of those decided took no longer


@dataclass(frozen=True, slots=True)
class Range:
    """When an open application is likely to be decided.

    One in five of such is back by ``earliest``, half by ``likely``, four in five by
    ``latest``.
    """

    earliest: date
    likely: date
    latest: date
    back: int = 0  # own applications decided
    waiting: int = 0  # own applications still out
    told: bool = False  # somebody gave the office the day
    overdue: bool = False  # later than they said, or than four in five that came back


def waits_in(
    events: Sequence[Event], day: date, ended_on: date | None = None
) -> list[Wait]:
    """How long each application of an approval waited, as known on ``day``.

    ``ended_on`` is the day its job was closed: an application still out then was not
    followed any further.
    """
    found: list[Wait] = []
    lodged: date | None = None
    for event in events:
        if event.step is Step.LODGED:
            lodged = event.happened_on
        elif lodged and event.step in {*_DECIDED, Step.WITHDRAWN}:
            over = event.step in _DECIDED
            found.append(Wait(_waited(events, lodged, event.happened_on), over))
            lodged = None
    last = min(day, ended_on) if ended_on else day
    if lodged and lodged <= last:
        found.append(Wait(_waited(events, lodged, last), over=False))
    return found


def _waited(events: Sequence[Event], lodged: date, until: date) -> int:
    return max((until - lodged).days - days_stopped(events, until), 0)


def lead_times(usual_days: int, waits: Sequence[Wait]) -> LeadTimes:
    """How long a kind takes: own waits and the usual days together."""
    longest = max((wait.days for wait in waits), default=0)
    prior = rule_of_thumb(usual_days, longest)
    back = sum(wait.over for wait in waits)
    curve = with_prior(waits, prior, USUAL_WORTH)
    # What is late already must not stretch what counts as late.
    decided = with_prior([w for w in waits if w.over], prior, USUAL_WORTH)
    late_after = decided.days_for(MOST)
    assert late_after is not None  # the rule of thumb ends at 0
    return LeadTimes(curve, back, len(waits) - back, late_after)


def likely_range(
    day: date, *, events: Sequence[Event], expected_on: date | None, times: LeadTimes
) -> Range | None:
    """When it is likely to come back, as seen on ``day``; None when it is not lodged.

    What the office was told (``expected_on``) wins while it lies ahead. Otherwise only
    applications count that waited as long as this one has: it is never a day gone by.
    """
    waited = days_waited(day, events)
    if waited is None:
        return None
    if expected_on is not None and expected_on > day:
        return Range(expected_on, expected_on, expected_on, told=True)
    slow = expected_on is not None or waited > times.late_after
    standing = standing_on(day, required=True, events=events)
    return Range(
        earliest=day + _more(times.curve, SOON, waited),
        likely=day + _more(times.curve, HALF, waited),
        latest=day + _more(times.curve, MOST, waited),
        back=times.back,
        waiting=times.waiting,
        overdue=standing is Standing.LODGED and slow,
    )


def days_waited(day: date, events: Sequence[Event]) -> int | None:
    """Days that an open application has waited with them; None when none is open."""
    standing = standing_on(day, required=True, events=events)
    if standing not in {Standing.LODGED, Standing.WAITING_ON_US}:
        return None
    past = [e for e in events if e.happened_on <= day]
    lodged = max(e.happened_on for e in past if e.step is Step.LODGED)
    return _waited(events, lodged, day)


def _more(curve: Curve, share: float, waited: int) -> timedelta:
    """From today on; tomorrow when it has waited longer than anything known."""
    found = curve.days_for(share, waited)
    return timedelta(days=1 if found is None else max(found - waited, 1))
