"""May we start? One answer for the first page and for the day on site."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from enum import StrEnum

from jobs.domain.holds import Hold, Stops
from safety.domain.obligations import CHECK_MISSING, CHECK_NO_GO, SIGN_ON_MISSING
from safety.domain.wording import some_quoted

_ON_THE_SPOT = frozenset({CHECK_MISSING, SIGN_ON_MISSING})


class Kind(StrEnum):
    """How a verdict looks: only "clear" is green, and only after a check that says go."""

    STOP = "stop"
    CAREFUL = "careful"
    CLEAR = "clear"
    IDLE = "idle"  # nobody is booked, so nobody has looked


@dataclass(frozen=True, slots=True)
class Morning:
    """What is known about one job on its day.

    ``tasks`` are names of what is to be done today by id; ``outcome`` is that of the
    check that counts ("" before there is one), ``note`` what it says.
    """

    tasks: Mapping[int, str]
    outcome: str = ""
    note: str = ""
    booked: bool = True
    called_off: bool = False


@dataclass(frozen=True, slots=True)
class Verdict:
    """The answer in a word or two, and what goes with it in a sentence."""

    kind: Kind
    word: str
    says: str


def verdict(holds: Sequence[Hold], morning: Morning) -> Verdict:
    """Whether work may start: what stops all of it, then what stops a part, then the check.

    It is never "yes" while nobody has checked, or while a task of the day is held.
    """
    stopping = [hold for hold in holds if hold.stops_work()]
    if stopping:
        return _stopped({hold.rule for hold in stopping}, len(stopping))
    if not morning.outcome:
        return _unchecked(morning)
    held = held_tasks(holds)
    waiting = [name for pk, name in morning.tasks.items() if pk in held]
    if waiting and len(waiting) == len(morning.tasks):
        return Verdict(Kind.STOP, "No", "Everything that is left for today is held.")
    if waiting:
        says = f"Held: {some_quoted(waiting)}. {morning.note}".strip()
        return Verdict(Kind.CAREFUL, "Yes, but not all of it", says)
    if morning.outcome == "go_with_changes":
        return Verdict(Kind.CAREFUL, "Yes, with changes", morning.note)
    return Verdict(Kind.CLEAR, "Yes", "The check says go.")


def held_tasks(holds: Sequence[Hold]) -> frozenset[int]:
    """Ids of the tasks that some hold stops."""
    return frozenset(
        pk for hold in holds if Stops.TASKS in hold.stops for pk in hold.task_ids
    )


def _stopped(rules: set[str], many: int) -> Verdict:
    if rules <= _ON_THE_SPOT:
        says = "What is missing can be done here and now."
        return Verdict(Kind.STOP, "Not yet", says)
    if rules - _ON_THE_SPOT == {CHECK_NO_GO}:
        return Verdict(Kind.STOP, "No", "The check says no go.")
    word = "One thing stops" if many == 1 else f"{many} things stop"
    return Verdict(Kind.STOP, "No", f"{word} all work.")


def _unchecked(morning: Morning) -> Verdict:
    if morning.called_off:
        says = "Called off for weather. If it clears, check before anybody starts."
        return Verdict(Kind.IDLE, "Not today", says)
    if morning.booked:
        return Verdict(Kind.STOP, "Not yet", "The check is not done.")
    says = "If you work here all the same, check before anybody starts."
    return Verdict(Kind.IDLE, "Nobody is booked today", says)
