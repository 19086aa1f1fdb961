"""A plan as its page shows it: every line with why it is here and what is behind it."""

from collections.abc import Mapping
from dataclasses import dataclass

from safety.domain.explain import Explanation, explain
from safety.domain.statement import Content
from safety.models import PlanEdit
from safety.queries.plans import Draft, IdleEdit


@dataclass(frozen=True, slots=True)
class PlanPage:
    """The plan's content with an explanation in each line, and the edits on it."""

    content: Content
    edits: tuple[PlanEdit, ...]
    idle: tuple[IdleEdit, ...]
    unknown: tuple[str, ...]
    hazards: int
    controls: int


def plan_page(found: Draft) -> PlanPage:
    """All that the page of a plan shows. No query."""
    lines = found.plan.lines
    return PlanPage(
        content=_explained(found.content, {line.key: explain(line) for line in lines}),
        edits=found.edits,
        idle=found.idle,
        unknown=found.plan.unknowns(),
        hazards=len(lines),
        controls=sum(len(line.controls) for line in lines),
    )


def _explained(content: Content, answers: Mapping[str, Explanation]) -> Content:
    steps = [
        {
            **step,
            "lines": [
                {**line, "explained": answers.get(line["key"])}
                for line in step["lines"]
            ],
        }
        for step in content["steps"]
    ]
    return {**content, "steps": steps}
