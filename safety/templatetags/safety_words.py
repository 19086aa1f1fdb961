"""Words and shapes for what a plan or a statement keeps as plain data."""

from collections.abc import Mapping, Sequence
from datetime import date
from typing import Any

from django import template
from django.utils.safestring import SafeString, mark_safe

from jobs.domain.roles import Role
from safety.domain.fact_names import FACTS

register = template.Library()

# The look's own names for the levels of the hierarchy.
_KINDS = {
    "eliminate": "elimination",
    "substitute": "substitution",
    "isolate": "isolation",
    "engineering": "engineering",
    "administrative": "administrative",
    "ppe": "ppe",
}
_ROLES = {
    Role.SITE_LEAD.value: "Site lead",
    Role.CREW.value: "Crew",
    Role.OFFICE.value: "Office",
    Role.OWNER.value: "Owner",
}
_CHECK_STATES = {"go": "go", "go_with_changes": "go-with-changes", "no_go": "no-go"}


@register.filter
def control_kind(level: str) -> str:
    """The look's name for a level of the hierarchy."""
    return _KINDS.get(level, "administrative")


@register.filter
def role_name(role: str) -> str:
    """Who, in words."""
    return _ROLES.get(str(role), str(role))


@register.filter
def grade(rating: Mapping[str, Any]) -> str:
    """The grade of a kept rating: "High"."""
    return str(rating["words"]).rpartition(": ")[2]


@register.filter
def steps_of(rating: Mapping[str, Any]) -> str:
    """Likelihood and consequence of a kept rating: "likely, major"."""
    return str(rating["words"]).rpartition(": ")[0]


@register.filter
def check_state(outcome: str) -> str:
    """The look's state for the outcome of a check."""
    return _CHECK_STATES.get(outcome, "open")


@register.filter
def worst(step: Mapping[str, Any], which: str) -> str:
    """The highest grade among the lines of a step, "initial" or "residual"."""
    ratings = [line[which] for line in step["lines"]]
    if not ratings:
        return "nothing"
    return grade(max(ratings, key=_badness))


def _badness(rating: Mapping[str, Any]) -> tuple[int, int]:
    return rating["likelihood"] + rating["consequence"], rating["consequence"]


@register.filter
def iso_day(text: str) -> date:
    """A day from its ISO text, as kept content has it."""
    return date.fromisoformat(text)


@register.filter
def line_name(line_key: str, content: Mapping[str, Any]) -> str:
    """The hazard with that key, and the step it is in."""
    for step in content["steps"]:
        for line in step["lines"]:
            if line["key"] == line_key:
                return f"{step['name']}: {line['name']}"
    return ""


@register.simple_tag
def signature(strokes: Sequence[Sequence[Sequence[int]]]) -> SafeString:
    """A drawn signature as inline SVG, from points in a box of 0 to 1000.

    Every number is turned into a whole number first: nothing else gets through.
    """
    paths = "".join(
        f'<path d="M{" L".join(f"{int(x)} {int(y)}" for x, y in stroke)}"/>'
        for stroke in strokes
        if stroke
    )
    return mark_safe(  # noqa: S308 - whole numbers and our own words only
        '<svg class="drawn" viewBox="0 0 1000 1000" role="img" aria-label="signature" '
        'fill="none" stroke="currentColor" stroke-width="14" '
        f'preserveAspectRatio="none">{paths}</svg>'
    )


@register.filter
def facts_in_words(names: Sequence[str]) -> str:
    """Facts by their labels: "slope of the slab, year the house was built"."""
    return ", ".join(FACTS[name].label if name in FACTS else name for name in names)
