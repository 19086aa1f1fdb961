"""Figures that a plan would say otherwise, where a job is done in another way.

Two plans may have the same hazards, ratings and controls and still speak of a longer
edge or a heavier piece. What people read is compared: the facts that the sentences of a
line show, each as it is written.
"""

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass

from safety.domain.conditions import Setting
from safety.domain.fact_names import fact_spec, unit_of
from safety.domain.library import Hazard
from safety.domain.plan import HazardPlan, PlanLine
from safety.domain.templates import Template
from safety.domain.wording import shown


@dataclass(frozen=True, slots=True)
class Figure:
    """One figure, with its unit, before and after; ``steps`` are those it is said in."""

    label: str
    was: str
    now: str
    steps: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Way:
    """A way of doing the job: its plan, and what the sentences of each step see."""

    plan: HazardPlan
    settings: Mapping[str, Setting]


def changed_figures(
    before: Way, after: Way, library: Mapping[str, Hazard]
) -> tuple[Figure, ...]:
    """Figures that lines of both plans show, and that differ. In the plan's order."""
    old = {line.key: line for line in before.plan.lines}
    found: dict[tuple[str, str, str], dict[str, None]] = {}
    for line in after.plan.lines:
        hazard = library.get(line.hazard)
        if hazard is None or line.key not in old:
            continue
        was, now = before.settings[line.task_key], after.settings[line.task_key]
        said = (*_said(hazard, old[line.key], was), *_said(hazard, line, now))
        for figure in _differing(said, was, now):
            found.setdefault(figure, {})[line.task_name] = None
    return tuple(
        Figure(label, was, now, tuple(steps))
        for (label, was, now), steps in found.items()
    )


def _said(hazard: Hazard, line: PlanLine, setting: Setting) -> Iterator[Template]:
    """The sentences of a hazard that stand in a line."""
    there = {line.name, *line.reasons, *line.raised}
    sentences = (
        hazard.name,
        *(reason.says for reason in hazard.reasons),
        *(step.says for step in hazard.raises),
    )
    yield from (says for says in sentences if says.filled(setting) in there)
    keys = {control.key for control in line.controls}
    for control in hazard.controls:
        if control.key in keys:
            yield control.text
            yield Template(control.check)
            yield Template(control.ask)


def _differing(
    said: Iterable[Template], was: Setting, now: Setting
) -> Iterator[tuple[str, str, str]]:
    for fact in dict.fromkeys(fact for says in said for fact in says.facts()):
        spec, unit = fact_spec(fact), unit_of(fact)
        before = shown(was.facts.get(fact), unit)
        after = shown(now.facts.get(fact), unit)
        if before != after:
            label = spec.label if spec else fact
            yield f"{label[:1].upper()}{label[1:]}", before, after
