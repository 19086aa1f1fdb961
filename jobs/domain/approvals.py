"""The course of an approval: its steps, what may follow what, and where it stands.

Days are calendar days. A step counts from the day it happened, not the day somebody
typed it in; the page shows both, so that a late entry is seen.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from enum import StrEnum


class Step(StrEnum):
    """Something that happened to an approval."""

    LODGED = "lodged"
    ASKED = "asked"
    ANSWERED = "answered"
    GRANTED = "granted"
    GRANTED_IF = "granted_if"
    REFUSED = "refused"
    WITHDRAWN = "withdrawn"

    @property
    def says(self) -> str:
        """The step in words."""
        return _STEP_WORDS[self]


_STEP_WORDS = {
    Step.LODGED: "Lodged",
    Step.ASKED: "They asked for more",
    Step.ANSWERED: "We answered",
    Step.GRANTED: "Granted",
    Step.GRANTED_IF: "Granted with conditions",
    Step.REFUSED: "Refused",
    Step.WITHDRAWN: "Withdrawn",
}


class Standing(StrEnum):
    """Where an approval stands on a day."""

    NOT_NEEDED = "not needed"
    NOT_LODGED = "not lodged"
    LODGED = "lodged"
    WAITING_ON_US = "more asked for"
    GRANTED = "granted"
    REFUSED = "refused"
    WITHDRAWN = "withdrawn"
    EXPIRED = "expired"

    @property
    def lets_work_start(self) -> bool:
        """Whether it is out of the way."""
        return self in {Standing.NOT_NEEDED, Standing.GRANTED}


_SAID = {
    Standing.NOT_NEEDED: "{} is not needed.",
    Standing.NOT_LODGED: "{} is not lodged yet.",
    Standing.LODGED: "{} is lodged and not back yet.",
    Standing.WAITING_ON_US: "{}: they asked for more and wait for our answer.",
    Standing.GRANTED: "{} is granted.",
    Standing.REFUSED: "{} was refused.",
    Standing.WITHDRAWN: "{} was withdrawn.",
    Standing.EXPIRED: "{} has run out.",
}

_TO_DO = {
    Standing.NOT_LODGED: "lodge it and record the day.",
    Standing.LODGED: "chase it, and record the answer.",
    Standing.WAITING_ON_US: "answer what they asked for.",
    Standing.REFUSED: "lodge it anew, or call the job off.",
    Standing.WITHDRAWN: "lodge it anew.",
    Standing.EXPIRED: "lodge it anew; the old one has run out.",
}


def say_standing(name: str, standing: Standing) -> str:
    """Where the approval of that name stands, as a sentence."""
    return _SAID[standing].format(name)


def to_do(standing: Standing) -> str:
    """What the office does about it; nothing when it is out of the way."""
    return _TO_DO.get(standing, "")


_FOLLOWS: dict[Standing, frozenset[Step]] = {
    Standing.NOT_NEEDED: frozenset(),
    Standing.NOT_LODGED: frozenset({Step.LODGED, Step.GRANTED, Step.GRANTED_IF}),
    Standing.LODGED: frozenset(
        {Step.ASKED, Step.GRANTED, Step.GRANTED_IF, Step.REFUSED, Step.WITHDRAWN}
    ),
    Standing.WAITING_ON_US: frozenset({Step.ANSWERED, Step.REFUSED, Step.WITHDRAWN}),
    Standing.GRANTED: frozenset({Step.WITHDRAWN}),
    Standing.REFUSED: frozenset({Step.LODGED}),
    Standing.WITHDRAWN: frozenset({Step.LODGED}),
    Standing.EXPIRED: frozenset({Step.LODGED}),
}

_LEADS_TO = {
    Step.LODGED: Standing.LODGED,
    Step.ASKED: Standing.WAITING_ON_US,
    Step.ANSWERED: Standing.LODGED,
    Step.GRANTED: Standing.GRANTED,
    Step.GRANTED_IF: Standing.GRANTED,
    Step.REFUSED: Standing.REFUSED,
    Step.WITHDRAWN: Standing.WITHDRAWN,
}


@dataclass(frozen=True, slots=True)
class Event:
    """One dated step. ``expires_on`` is the last day a grant is good for."""

    step: Step
    happened_on: date
    expires_on: date | None = None


def standing_on(day: date, *, required: bool, events: Sequence[Event]) -> Standing:
    """Where it stands at the end of ``day``; ``events`` in the order they happened."""
    if not required:
        return Standing.NOT_NEEDED
    past = [event for event in events if event.happened_on <= day]
    if not past:
        return Standing.NOT_LODGED
    last = past[-1]
    standing = _LEADS_TO[last.step]
    if standing is Standing.GRANTED and last.expires_on and day > last.expires_on:
        return Standing.EXPIRED
    return standing


def next_steps(standing: Standing) -> frozenset[Step]:
    """The steps that make sense from here."""
    return _FOLLOWS[standing]


def days_stopped(events: Sequence[Event], until: date) -> int:
    """Days of the open application that the clock stood still, waiting on us."""
    stopped, since = 0, None
    for event in events:
        if event.happened_on > until:
            break
        if event.step is Step.LODGED:
            stopped, since = 0, None
        elif event.step is Step.ASKED:
            since = event.happened_on
        elif since is not None:
            stopped += (event.happened_on - since).days
            since = None
    return stopped + ((until - since).days if since is not None else 0)
