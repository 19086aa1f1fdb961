"""Words and shapes for what a plan or a statement keeps as plain data."""

from collections.abc import Mapping, Sequence
from datetime import date
from typing import Any

from django import template
from django.utils.safestring import SafeString, mark_safe

from jobs.domain import spans as numbers
from jobs.domain.roles import Role
from safety.domain import library_words
from safety.domain.day_weather import heat_words, sun_words
from safety.domain.fact_names import FACTS
from safety.domain.plan import When
from safety.domain.templates import Template
from safety.models import DailyCheck

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
# The print has little room; its head says what these stand for.
_SHORT_LEVELS = {
    "eliminate": "Take away",
    "substitute": "Swap",
    "isolate": "Keep apart",
    "engineering": "Engineer",
    "administrative": "Way of working",
    "ppe": "Wear",
}
_SHORT_WHEN = {
    When.BEFORE_JOB.value: "before the job",
    When.DAY_START.value: "each morning",
    When.TASK_START.value: "before it starts",
    When.DURING.value: "all through",
    When.TASK_END.value: "when it is done",
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
def level_word(level: str) -> str:
    """A level of the hierarchy in a word or two."""
    return _SHORT_LEVELS.get(level, level)


@register.filter
def when_word(when: str) -> str:
    """When a control is put in place or looked at, in short."""
    return _SHORT_WHEN.get(when, when)


@register.filter
def spans(steps: Sequence[int]) -> str:
    """Step numbers in short: "4, 5, 12–14"."""
    return numbers.spans(steps)


@register.filter
def in_steps(steps: Sequence[int]) -> str:
    """Step numbers as words: "step 4", "steps 4, 5, 12–14"."""
    return numbers.in_steps(steps)


@register.filter
def step_numbers(keys: Sequence[str], content: Mapping[str, Any]) -> list[int]:
    """The numbers of steps by their keys."""
    return [step["position"] for step in content["steps"] if step["key"] in keys]


@register.filter
def heat_of(check: DailyCheck) -> str:
    """How hot the day of a check feels."""
    return heat_words(check.temperature_c, check.humidity_pct)


@register.filter
def sun_of(check: DailyCheck) -> str:
    """How strong the sun is on the day of a check."""
    return sun_words(check.uv_index)


@register.filter
def grade(rating: Mapping[str, Any]) -> str:
    """The grade of a kept rating: "High"."""
    return str(rating["words"]).rpartition(": ")[2]


@register.filter
def steps_of(rating: Mapping[str, Any]) -> str:
    """Likelihood and consequence of a kept rating: "likely, major"."""
    return str(rating["words"]).rpartition(": ")[0]


@register.filter
def goes_to(before: Mapping[str, Any], after: Mapping[str, Any]) -> str:
    """What controls do to a rating: "likely → unlikely, major"."""
    old, new = steps_of(before), steps_of(after)
    words, later = old.split(", "), new.split(", ")
    if len(words) != len(later):  # a firm's own matrix may have commas in its words
        return f"{old} → {new}"
    pairs = zip(words, later, strict=True)
    return ", ".join(one if one == two else f"{one} → {two}" for one, two in pairs)


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


@register.filter
def in_plain_words(sentence: Template) -> str:
    """A sentence of the library with its places named."""
    return library_words.sentence(sentence)
