"""How late loads come, and how long from order to arrival, from the firm's own loads.

Two waits are counted, both in calendar days. A load that was given a day waits from that
day on: 0 days when it came by then. A load without one waits from its order. What is
still out has waited at least so long (it is right-censored, see
:mod:`jobs.domain.survival`); a load whose day has not come yet says nothing of lateness.
A day that was moved counts as it stands now: the office moves days for reasons of its own.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from jobs.domain.survival import Curve, Wait, rule_of_thumb, with_prior
from scheduling.domain.calendar import Half, Slot

# What is believed of lateness before a firm has loads of its own (our choice, no source):
# seven in ten come by their day, each day later brings a fifth of those that are out.
PROMPT, DAILY = 0.7, 0.2
LATEST = 60  # days; the guess ends here, or well past the longest wait of the firm
WORTH = 3.0  # past loads that a guess is worth; our choice, no source


@dataclass(frozen=True, slots=True)
class PastLoad:
    """A load that was ordered. ``over_on``: called off then, and so followed no further."""

    supplier: int
    ordered_on: date
    due_on: date | None
    came_on: date | None
    over_on: date | None = None


@dataclass(frozen=True, slots=True)
class DeliveryTimes:
    """Curves of one supplier: days after the day given, and days from order to arrival."""

    late: Curve
    lead: Curve


@dataclass(frozen=True, slots=True)
class Coming:
    """A load on its way.

    With a day (``promised``) ``curve`` is of days after it. Without one it is of days
    since the order, of which ``waited`` have gone by (-1: it is ordered today).
    """

    curve: Curve
    promised: Slot | None = None
    waited: int = -1

    def here(self, today: date, luck: float) -> Slot:
        """The half-day it is there, for that luck, 0 to 1. Overdue: never before tomorrow."""
        if self.promised is None:
            return Slot(_from(today, self.curve, self.waited, luck), Half.PM)
        overdue = (today - self.promised.day).days
        if overdue > 0:
            return Slot(_from(today, self.curve, overdue, luck), self.promised.half)
        days = self.curve.days_for(luck) or 0
        return Slot(self.promised.day + timedelta(days=days), self.promised.half)


def _from(today: date, curve: Curve, waited: int, luck: float) -> date:
    days = curve.days_for(luck, waited)
    ahead = 1 if days is None else days - max(waited, 0)
    return today + timedelta(days=max(ahead, 1))


def late_waits(loads: Iterable[PastLoad], day: date) -> list[Wait]:
    """Days after the day given, as known on ``day``."""
    return [
        wait
        for load in loads
        if load.due_on is not None
        and (wait := _wait(load, load.due_on, day)) is not None
    ]


def lead_waits(loads: Iterable[PastLoad], day: date) -> list[Wait]:
    """Days from order to arrival, as known on ``day``."""
    waits = (_wait(load, load.ordered_on, day) for load in loads)
    return [wait for wait in waits if wait is not None]


def _wait(load: PastLoad, since: date, day: date) -> Wait | None:
    if load.came_on is not None and load.came_on <= day:
        return Wait(max((load.came_on - since).days, 0), over=True)
    last = min(day, load.over_on) if load.over_on else day
    return Wait((last - since).days, over=False) if last > since else None


def delivery_times(
    loads: Sequence[PastLoad], supplier: int | None, usual_days: int, day: date
) -> DeliveryTimes:
    """Curves of a supplier (None: nobody is chosen yet) as known on ``day``.

    Lateness begins from what all other suppliers show, and that from the guess above;
    time from order to arrival begins from the supplier's usual days.
    """
    own = [load for load in loads if load.supplier == supplier]
    others = [load for load in loads if load.supplier != supplier]
    lates, leads = late_waits(own, day), lead_waits(own, day)
    rest = late_waits(others, day)
    firm = with_prior(rest, usual_lateness(_longest([*lates, *rest])), WORTH)
    thumb = rule_of_thumb(usual_days, _longest(leads))
    return DeliveryTimes(
        late=with_prior(lates, firm, WORTH), lead=with_prior(leads, thumb, WORTH)
    )


def usual_lateness(longest: int = 0) -> Curve:
    """The guess about lateness; it reaches well past the longest wait of the firm."""
    last = max(LATEST, 2 * longest)
    still = ((1 - PROMPT) * (1 - DAILY) ** day for day in range(last))
    return Curve((*still, 0.0))


def _longest(waits: Sequence[Wait]) -> int:
    return max((wait.days for wait in waits), default=0)
