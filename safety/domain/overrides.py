"""A reviewer's changes to a plan, kept as data and put on again after each new plan.

Nothing disappears: a removed line stays on the plan as removed, an edited one carries
what was changed, and each change prints its reason.
"""

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, replace
from enum import StrEnum

from jobs.domain.holds import Basis
from jobs.domain.refusals import Refused
from jobs.domain.roles import Role
from jobs.domain.sources import Source
from safety.domain.hierarchy import Level
from safety.domain.plan import (
    WHOLE_JOB,
    Change,
    HazardPlan,
    PlanControl,
    PlanLine,
    RemovedLine,
    When,
)
from safety.domain.risk import Effect, Matrix, Rating
from safety.domain.traces import Joint, Outcome, Trace

REVIEWER = "reviewer"
_REASON_SHORTEST = 10  # letters; "ok" is not a reason


class Action(StrEnum):
    """What a reviewer does to a plan."""

    EDIT = "edit"  # words of a line: name, harm, why
    RATE = "rate"  # initial or residual rating
    EDIT_CONTROL = "edit control"
    ADD_CONTROL = "add control"
    REMOVE_CONTROL = "remove control"
    REMOVE = "remove"
    ADD = "add"  # a whole line


@dataclass(frozen=True, slots=True)
class Override:
    """One change by a reviewer.

    ``values`` are plain texts and numbers by name, so that it can be kept as JSON:
    EDIT name, harm, why; RATE initial_likelihood, initial_consequence,
    residual_likelihood, residual_consequence; EDIT_CONTROL text, check, ask; ADD and
    ADD_CONTROL text, level, who, when, check, ask (ADD also name, harm, why,
    initial_*, residual_*, task_key, task_name, position).
    """

    action: Action
    line_key: str
    reason: str
    by: str = ""
    control_key: str = ""
    values: Mapping[str, str | int] | None = None

    def text(self, name: str, default: str = "") -> str:
        """A text among the values."""
        return str((self.values or {}).get(name, default)).strip()

    def step(self, name: str, default: int) -> int:
        """A whole number among the values."""
        return int((self.values or {}).get(name, default))


def apply_overrides(
    plan: HazardPlan, overrides: Iterable[Override], matrix: Matrix
) -> HazardPlan:
    """The plan with the changes put on, in their order.

    Refused when a reason is missing, when a residual would be above its initial rating,
    or when a line would be left without a control. A change to a line that the plan no
    longer has is left out: see ``stale_overrides``.
    """
    for override in overrides:
        _refuse_without_reason(override)
        if override.action is Action.ADD:
            plan = _added(plan, override, matrix)
        elif _has(plan, override.line_key):
            plan = _changed(plan, override, matrix)
    return plan


def stale_overrides(
    plan: HazardPlan, overrides: Iterable[Override]
) -> tuple[Override, ...]:
    """Changes to lines that the plan does not have (any more)."""
    added: set[str] = set()
    stale: list[Override] = []
    for override in overrides:
        if override.action is Action.ADD:
            added.add(override.line_key)
        elif override.line_key not in added and not _has(plan, override.line_key):
            stale.append(override)
    return tuple(stale)


def _has(plan: HazardPlan, key: str) -> bool:
    return any(line.key == key for line in plan.lines)


def _refuse_without_reason(override: Override) -> None:
    if len(override.reason.strip()) < _REASON_SHORTEST:
        raise Refused("Say why in a sentence: the reason is printed with the change.")


def _changed(plan: HazardPlan, override: Override, matrix: Matrix) -> HazardPlan:
    line = plan.line(override.line_key)
    if override.action is Action.REMOVE:
        rest = tuple(other for other in plan.lines if other.key != line.key)
        gone = RemovedLine(line, override.reason, override.by)
        return replace(plan, lines=rest, removed=(*plan.removed, gone))
    edited, what = _EDITS[override.action](line, override, matrix)
    change = Change(what, override.reason, override.by)
    edited = replace(edited, changes=(*line.changes, change))
    lines = tuple(edited if other.key == line.key else other for other in plan.lines)
    return replace(plan, lines=lines)


def _edit(line: PlanLine, override: Override, _: Matrix) -> tuple[PlanLine, str]:
    edited = _typed(
        replace(line, harm=override.text("harm", line.harm)),
        name=override.text("name", line.name),
        why=override.text("why", line.why),
    )
    parts = [
        f'{field} was "{old}"'
        for field, old, new in (
            ("name", line.name, edited.name),
            ("harm", line.harm, edited.harm),
            ("reason", line.why, edited.why),
        )
        if old != new
    ]
    return edited, "; ".join(parts) or "words confirmed"


def _typed(line: PlanLine, *, name: str, why: str) -> PlanLine:
    """The line with words that a person typed; such words count as they stand."""
    counts = line.counts
    if name != line.name:
        line, counts = replace(line, name=name), replace(counts, name=name)
    if why != line.why:
        line, counts = replace(line, reasons=(why,)), replace(counts, reasons=(why,))
    return replace(line, counted=counts)


def _rate(line: PlanLine, override: Override, matrix: Matrix) -> tuple[PlanLine, str]:
    initial = _rated(override, "initial", line.initial, matrix)
    residual = _rated(override, "residual", line.residual, matrix)
    _refuse_rise(initial, residual)
    what = (
        f"rating was {matrix.words(line.initial)} before controls and "
        f"{matrix.words(line.residual)} after"
    )
    return replace(line, initial=initial, residual=residual), what


def _rated(override: Override, which: str, now: Rating, matrix: Matrix) -> Rating:
    return matrix.rate(
        override.step(f"{which}_likelihood", now.likelihood),
        override.step(f"{which}_consequence", now.consequence),
    )


def _refuse_rise(initial: Rating, residual: Rating) -> None:
    if (
        residual.rank > initial.rank
        or residual.likelihood > initial.likelihood
        or residual.consequence > initial.consequence
    ):
        raise Refused("Controls cannot make a risk worse: lower the rating after them.")


def _edit_control(
    line: PlanLine, override: Override, _: Matrix
) -> tuple[PlanLine, str]:
    old = _control(line, override.control_key)
    text = override.text("text", old.text)
    new = replace(
        old,
        text=text,
        check=override.text("check", old.check),
        ask=override.text("ask", old.ask),
        counts=old.counts if text == old.text else "",
    )
    controls = tuple(new if c.key == old.key else c for c in line.controls)
    return replace(line, controls=controls), f'control was "{old.text}"'


def _add_control(line: PlanLine, override: Override, _: Matrix) -> tuple[PlanLine, str]:
    new = _new_control(override, len(line.controls) + 1)
    controls = sorted((*line.controls, new), key=lambda c: c.level.place)
    return replace(line, controls=tuple(controls)), f'control added: "{new.text}"'


def _remove_control(
    line: PlanLine, override: Override, _: Matrix
) -> tuple[PlanLine, str]:
    old = _control(line, override.control_key)
    rest = tuple(control for control in line.controls if control.key != old.key)
    if not rest:
        raise Refused("A hazard needs at least one control: remove the line instead.")
    return replace(line, controls=rest), f'control removed: "{old.text}"'


_Edit = Callable[[PlanLine, Override, Matrix], tuple[PlanLine, str]]
_EDITS: Mapping[Action, _Edit] = {
    Action.EDIT: _edit,
    Action.RATE: _rate,
    Action.EDIT_CONTROL: _edit_control,
    Action.ADD_CONTROL: _add_control,
    Action.REMOVE_CONTROL: _remove_control,
}


def _control(line: PlanLine, key: str) -> PlanControl:
    for control in line.controls:
        if control.key == key:
            return control
    raise Refused(f'"{line.name}" has no control "{key}" any more.')


def _new_control(override: Override, number: int) -> PlanControl:
    text = override.text("text")
    if not text:
        raise Refused("Say what the control is.")
    return PlanControl(
        key=override.control_key or f"{REVIEWER}_{number}",
        text=text,
        level=Level(override.text("level", Level.ADMINISTRATIVE)),
        effect=Effect(),  # the reviewer states the residual rating instead
        who=Role(override.text("who", Role.SITE_LEAD)),
        when=When(override.text("when", When.TASK_START)),
        check=override.text("check", "The site lead looks."),
        ask=override.text("ask"),
        source=Source(Basis.FIRM),
    )


def _added(plan: HazardPlan, override: Override, matrix: Matrix) -> HazardPlan:
    if _has(plan, override.line_key):
        raise Refused("The plan already has that line: change it instead.")
    lowest = matrix.rate(1, 1)
    initial = _rated(override, "initial", lowest, matrix)
    residual = _rated(override, "residual", initial, matrix)
    _refuse_rise(initial, residual)
    why = override.text("why", override.reason)
    line = PlanLine(
        key=override.line_key,
        task_key=override.text("task_key", WHOLE_JOB),
        task_name=override.text("task_name"),
        position=override.step("position", 0),
        hazard=override.line_key.rpartition("/")[2],
        theme=REVIEWER,
        name=override.text("name"),
        harm=override.text("harm"),
        reasons=(why,),
        unknowns=(),
        raised=(),
        initial=initial,
        controls=(_new_control(override, 1),),
        residual=residual,
        source=Source(Basis.FIRM),
        trace=Trace(
            Joint.FACT,
            Outcome.YES,
            fact=REVIEWER,
            found=f"A reviewer added it: {override.reason}",
            otherwise="A reviewer takes it out again.",
        ),
        changes=(Change("line added", override.reason, override.by),),
    )
    lines = sorted((*plan.lines, line), key=lambda found: found.position)
    return replace(plan, lines=tuple(lines))
