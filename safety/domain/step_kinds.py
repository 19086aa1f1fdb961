"""The kinds of step that a condition asks for, apart from what else it asks.

Most hazards are about some steps, so a person ticks those in a list of their own.
"""

from collections.abc import Mapping

from safety.domain.conditions import Both, Condition, Op, Test
from safety.domain.library import Scope
from safety.domain.traces import Joint

_ASKED: Mapping[Scope, tuple[str, Op]] = {
    Scope.TASK: ("task.kind", Op.IN),
    Scope.JOB: ("job.task_kinds", Op.HAS),
}


def apart(
    condition: Condition, scope: Scope
) -> tuple[frozenset[str], Condition | None]:
    """Kinds of step and the rest; none where taking them apart would lose something."""
    parts: tuple[Condition, ...] = (condition,)
    if isinstance(condition, Both) and condition.joint is Joint.ALL:
        parts = condition.parts
    first, rest = parts[0], parts[1:]
    if not isinstance(first, Test) or not isinstance(first.wanted, frozenset):
        return frozenset(), condition
    others = rest[0] if len(rest) == 1 else Both(Joint.ALL, rest) if rest else None
    if together(first.wanted, others, scope) != condition:
        return frozenset(), condition
    return first.wanted, others


def together(
    kinds: frozenset[str], rest: Condition | None, scope: Scope
) -> Condition | None:
    """The condition that :func:`apart` took apart."""
    if not kinds:
        return rest
    steps = Test(*_ASKED[scope], kinds)
    if rest is None:
        return steps
    match rest:
        case Both(Joint.ALL, parts):
            return Both(Joint.ALL, (steps, *parts))
        case _:
            return Both(Joint.ALL, (steps, rest))
