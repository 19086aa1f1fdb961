"""Answers to "why is this here?" and "what would make it go away?", from the trace."""

from dataclasses import dataclass

from safety.domain.plan import PlanLine
from safety.domain.traces import Joint, Outcome, Trace, deciding

_KIND_FACTS = ("task.kind", "job.task_kinds")


@dataclass(frozen=True, slots=True)
class Because:
    """One fact that put a line into the plan, with the source of its limit."""

    found: str
    cite: str
    known: bool  # False when nobody has found the fact out


@dataclass(frozen=True, slots=True)
class WayOut:
    """A set of changes that together would take the line out of the plan."""

    changes: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Explanation:
    """Why a line is in the plan, and every way that would take it out.

    ``ways_out`` are alternatives: any one of them is enough. Taking a hazard away and
    leaving it out of the plan are not the same; the words are for the former.
    """

    why: str
    because: tuple[Because, ...]
    ways_out: tuple[WayOut, ...]
    cite: str


def explain(line: PlanLine) -> Explanation:
    """The answers for one line of a plan."""
    reasons = [leaf for leaf in deciding(line.trace) if leaf.found]
    because = [
        Because(leaf.found, leaf.cite, leaf.outcome is not Outcome.UNKNOWN)
        for leaf in reasons
    ]
    return Explanation(
        why=line.why,
        because=tuple(dict.fromkeys(because)),
        ways_out=_ways_out(line.trace),
        cite=line.source.cite(),
    )


def _ways_out(trace: Trace) -> tuple[WayOut, ...]:
    return tuple(
        WayOut(tuple(dict.fromkeys(changes))) for changes in _falsify(trace) if changes
    )


def _falsify(trace: Trace) -> tuple[tuple[str, ...], ...]:
    """Alternatives, each a set of changes, that would make the condition not hold."""
    match trace.joint:
        case Joint.FACT:
            return ((_change(trace),),)
        case Joint.NOT:
            return _satisfy(trace.parts[0])
        case Joint.ALL:
            return tuple(way for part in trace.parts for way in _falsify(part))
        case Joint.ANY:
            return _together(
                tuple(_falsify(part) for part in trace.parts if part.outcome.bites)
            )


def _satisfy(trace: Trace) -> tuple[tuple[str, ...], ...]:
    """Alternatives that would make a condition hold that does not hold now."""
    match trace.joint:
        case Joint.FACT:
            return () if trace.fact in _KIND_FACTS else ((trace.otherwise,),)
        case Joint.NOT:
            return _falsify(trace.parts[0])
        case Joint.ANY:
            return tuple(way for part in trace.parts for way in _satisfy(part))
        case Joint.ALL:
            missing = [p for p in trace.parts if p.outcome is not Outcome.YES]
            return _together(tuple(_satisfy(part) for part in missing))


def _together(
    alternatives: tuple[tuple[tuple[str, ...], ...], ...],
) -> tuple[tuple[str, ...], ...]:
    """One way for each part at once; the shortest alternative of each is taken."""
    if not alternatives or not all(alternatives):
        return ()
    shortest = [min(ways, key=len) for ways in alternatives]
    return (tuple(change for way in shortest for change in way),)


def _change(leaf: Trace) -> str:
    if leaf.fact in _KIND_FACTS:
        return "This kind of step is not part of the job."
    return leaf.otherwise
