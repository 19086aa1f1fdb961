"""The trace of a decision: which facts, values, rules and sources led to it."""

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
    """The trace of several parts together, in three-valued logic.

    Kleene's strong logic: an unknown part leaves the whole unknown unless the known
    parts already decide it.
    """
    outcomes = {part.outcome for part in parts}
    decisive = Outcome.NO if joint is Joint.ALL else Outcome.YES
    if decisive in outcomes:
        outcome = decisive
    elif Outcome.UNKNOWN in outcomes:
        outcome = Outcome.UNKNOWN
    else:
        outcome = Outcome.YES if joint is Joint.ALL else Outcome.NO
    return Trace(joint, outcome, parts)


def negated(part: Trace) -> Trace:
    """The trace of the opposite; what is unknown stays unknown."""
    flipped = {Outcome.YES: Outcome.NO, Outcome.NO: Outcome.YES}
    return Trace(Joint.NOT, flipped.get(part.outcome, Outcome.UNKNOWN), (part,))


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
