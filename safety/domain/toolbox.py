"""What is said before work on one day, drawn from the statement in force.

One page that is read out: of what the statement says of the day's steps and of the whole
job the worst, with the first things done about it. How many that are is found by laying
the page out; whatever could kill is named on it, the rest is counted, not told.
"""

from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from safety.domain.alike import Steps
from safety.domain.condense import Card, badness, condense
from safety.domain.printing import first_control
from safety.domain.statement import Content

WEATHER = "weather"  # theme of the hazard library that is told by itself
DEADLY = 5  # consequence, of 5, from which a hazard is always named; firm's decision
LEAST_SHOWN = 3  # of the steps, and one that is always there, are told at any rate
MOST_SHOWN = 12  # more than anybody listens to; firm's decision
MOST_WEATHER = 3
STEPS_IN_SHORT = 8  # listed where even the shortest talk leaves no room for all
CONTROLS_EACH = 2


@dataclass(frozen=True, slots=True)
class Told:
    """One hazard of the day, the steps of the day it is in, and what is done first.

    ``steps`` is empty for a hazard that is there all the time.
    """

    name: str
    before: Content  # rating
    steps: Steps
    controls: tuple[Content, ...]
    is_deadly: bool


@dataclass(frozen=True, slots=True)
class Brief:
    """How much of a talk is printed: so many hazards, controls of each and skies.

    ``steps`` is how many steps of the day are listed; None lists all.
    """

    hazards: int
    controls: int
    weather: int
    steps: int | None = None


@dataclass(frozen=True, slots=True)
class Talk:
    """What is told of hazards on one day, what matters most first."""

    hazards: tuple[Told, ...]
    weather: tuple[Told, ...]


def talk(content: Content, task_keys: Collection[str]) -> Talk:
    """All hazards of the steps worked on that day and of the whole job, in order.

    The worst of the steps come first; then the worst of those that are there all the
    time, which are the same every morning; then what is left of both.
    """
    cards = sorted(condense(_of_day(content, task_keys)).cards, key=_worst_first)
    weather = [_told(card) for card in cards if card.line["theme"] == WEATHER]
    others = [card for card in cards if card.line["theme"] != WEATHER]
    of_steps = [_told(card) for card in others if card.steps]
    always = [_told(card) for card in others if not card.steps]
    first, rest = of_steps[:LEAST_SHOWN], of_steps[LEAST_SHOWN:]
    return Talk((*first, *always[:1], *rest, *always[1:]), tuple(weather))


def briefs(hazards: int, steps: int | None = None) -> Iterator[Brief]:
    """Ever shorter ways to tell so many hazards; the last is the least that is told.

    Each lists as many ``steps`` of the day; None lists all.
    """
    least = min(hazards, LEAST_SHOWN + 1)
    for number in range(min(hazards, MOST_SHOWN), least - 1, -1):
        yield Brief(number, CONTROLS_EACH, MOST_WEATHER, steps)
    yield Brief(least, 1, MOST_WEATHER, steps)
    yield Brief(least, 1, 1, steps)


def in_brief(content: Mapping[str, Any], brief: Brief) -> Content:
    """The content of a talk as it is printed: steps listed, hazards told, the deadly
    named, the rest counted.
    """
    tasks = content["tasks"][: brief.steps]
    told, left = (
        content["hazards"][: brief.hazards],
        content["hazards"][brief.hazards :],
    )
    skies = content["weather"][: brief.weather]
    left = [*left, *content["weather"][brief.weather :]]
    named = [one for one in left if one["deadly"]]
    return {
        **content,
        "tasks": tasks,
        "more_tasks": len(content["tasks"]) - len(tasks),
        "hazards": [
            {**one, "controls": one["controls"][: brief.controls]}
            for one in sorted(told, key=lambda one: not one["steps"])
        ],
        "weather": skies,
        "deadly_too": named,
        "more_hazards": len(left) - len(named),
    }


def _of_day(content: Content, task_keys: Collection[str]) -> Content:
    steps = [
        step
        for step in content["steps"]
        if step["whole_job"] or step["key"] in task_keys
    ]
    return {**content, "steps": steps}


def _worst_first(card: Card) -> tuple[int, int, int]:
    both, harm = badness(card.risks[0].before)
    return -both, -harm, card.number


def _told(card: Card) -> Told:
    before = card.risks[0].before
    return Told(
        name=card.line["name"],
        before=before,
        steps=card.steps,
        controls=tuple(_first([one.control for one in card.controls], card.line)),
        is_deadly=any(int(r.before["consequence"]) >= DEADLY for r in card.risks),
    )


def _first(controls: Sequence[Content], line: Content) -> Iterable[Content]:
    """What must be there before the step, then the rest by the hierarchy."""
    if not controls:
        return ()
    first = first_control({**line, "controls": controls})
    others = [control for control in controls if control is not first]
    return (first, *others)[:CONTROLS_EACH]
