"""The trace of a decision: which facts, values, rules and sources led to it."""

from collections.abc import Iterable
from dataclasses import dataclass
from enum import StrEnum


class Outcome(StrEnum):
    """What a condition came to. UNKNOWN counts as the worse case where it matters."""

    YES = "yes"
    NO = "no"
    UNKNOWN = "unknown"

    @property
    def bites(self) -> bool:
        """Whether a hazard with this outcome is in the plan."""
        return self is not Outcome.NO


class Joint(StrEnum):
    """How the parts of a trace belong together."""

    ALL = "all"
    ANY = "any"
    NOT = "not"
    FACT = "fact"


@dataclass(frozen=True, slots=True)
class Trace:
    """One condition with its outcome; a tree, with single facts at its leaves.

    At a leaf ``found`` is a sentence of what is so and ``otherwise`` what would have to
    be so for the opposite; ``cite`` is the source of the limit, if it has one.
    """

    joint: Joint
    outcome: Outcome
    parts: tuple["Trace", ...] = ()
    fact: str = ""
    value: str = ""
    found: str = ""
    otherwise: str = ""
    cite: str = ""

    def leaves(self) -> tuple["Trace", ...]:
        """The single facts, in the order of the rule."""
        if self.joint is Joint.FACT:
            return (self,)
        return tuple(leaf for part in self.parts for leaf in part.leaves())

    def unknown_facts(self) -> tuple[str, ...]:
        """Names of facts that nobody has found out and that left this undecided."""
        if self.outcome is not Outcome.UNKNOWN:
            return ()
        if self.joint is Joint.FACT:
            return (self.fact,)
        names = [name for part in self.parts for name in part.unknown_facts()]
        return tuple(dict.fromkeys(names))


NOTHING_ASKED = Trace(Joint.ALL, Outcome.YES)


def joined(joint: Joint, parts: tuple[Trace, ...]) -> Trace:
    """The trace of several parts together."""
    return Trace(joint, together(joint, (part.outcome for part in parts)), parts)


def together(joint: Joint, outcomes: Iterable[Outcome]) -> Outcome:
    """The outcome of several together, in three-valued logic.

    Kleene's strong logic: an unknown part leaves the whole unknown unless the known
    parts already decide it. What comes after a part that decides is not looked at.
    """
    decisive = Outcome.NO if joint is Joint.ALL else Outcome.YES
    so_far = opposite(decisive)
    for outcome in outcomes:
        if outcome is decisive:
            return decisive
        if outcome is Outcome.UNKNOWN:
            so_far = outcome
    return so_far


def opposite(outcome: Outcome) -> Outcome:
    """The opposite; what is unknown stays unknown."""
    return _OPPOSITES[outcome]


_OPPOSITES = {
    Outcome.YES: Outcome.NO,
    Outcome.NO: Outcome.YES,
    Outcome.UNKNOWN: Outcome.UNKNOWN,
}


def negated(part: Trace) -> Trace:
    """The trace of the opposite."""
    return Trace(Joint.NOT, opposite(part.outcome), (part,))


def deciding(trace: Trace, *, held: bool = True) -> tuple[Trace, ...]:
    """Leaves that led to the outcome, those that could not have been left out.

    ``held`` is False inside a "not", where what did not hold is what counts.
    """
    if trace.joint is Joint.FACT:
        return (trace,) if _counts(trace, held=held) else ()
    turned = held != (trace.joint is Joint.NOT)
    parts = trace.parts
    if trace.joint is not Joint.NOT:
        parts = tuple(part for part in parts if _counts(part, held=held))
    return tuple(leaf for part in parts for leaf in deciding(part, held=turned))


def _counts(trace: Trace, *, held: bool) -> bool:
    return trace.outcome.bites if held else trace.outcome is not Outcome.YES
