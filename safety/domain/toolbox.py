"""What is said before work on one day, drawn from the statement in force.

One page that is read out: of what the statement says of the day's steps and of the whole
job only the worst, with the first things done about it. The rest is counted, not told.
"""

from collections.abc import Collection, Iterable, Sequence
from dataclasses import dataclass

from safety.domain.condense import Card, Steps, badness, condense
from safety.domain.printing import first_control
from safety.domain.statement import Content

WEATHER = "weather"  # theme of the hazard library that is told by itself
# Room on one A4 page beside the day's other facts, found by printing full ones.
LETTERS = 1100
LEAST_SHOWN = 3  # the worst are told, however long their words are
MOST_WEATHER = 3
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

    @property
    def letters(self) -> int:
        """How much room it takes."""
        return len(self.name) + sum(
            len(control["text"]) + len(control["check"]) for control in self.controls
        )


@dataclass(frozen=True, slots=True)
class Talk:
    """What is told of hazards on one day, and how many more the statement has."""

    hazards: tuple[Told, ...]
    weather: tuple[Told, ...]
    left: int


def talk(content: Content, task_keys: Collection[str]) -> Talk:
    """The worst hazards of the steps worked on that day, and of the whole job.

    Those of the steps come first; of those that are there all the time, which are the
    same every morning, the worst has its place whatever else there is.
    """
    cards = sorted(condense(_of_day(content, task_keys)).cards, key=_worst_first)
    weather = [_told(card) for card in cards if card.line["theme"] == WEATHER]
    others = [card for card in cards if card.line["theme"] != WEATHER]
    of_steps = [_told(card) for card in others if card.steps]
    always = [_told(card) for card in others if not card.steps]
    shown = _fitting(of_steps, always)
    skies = tuple(weather[:MOST_WEATHER])
    return Talk(shown, skies, len(cards) - len(shown) - len(skies))


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
    return Told(
        name=card.line["name"],
        before=card.risks[0].before,
        steps=card.steps,
        controls=tuple(_first([one.control for one in card.controls], card.line)),
    )


def _first(controls: Sequence[Content], line: Content) -> Iterable[Content]:
    """What must be there before the step, then the rest by the hierarchy."""
    if not controls:
        return ()
    first = first_control({**line, "controls": controls})
    others = [control for control in controls if control is not first]
    return (first, *others)[:CONTROLS_EACH]


def _fitting(of_steps: Sequence[Told], always: Sequence[Told]) -> tuple[Told, ...]:
    """As many as there is room for: of the steps, then of those always there."""
    kept = [*always[:1]]
    room = LETTERS - sum(one.letters for one in kept)
    first = _taken(of_steps, room, LEAST_SHOWN)
    room -= sum(one.letters for one in first)
    return (*first, *kept, *_taken(always[1:], room, 0))


def _taken(told: Sequence[Told], room: int, least: int) -> list[Told]:
    """Those in order until the room is used up; so many at least."""
    taken: list[Told] = []
    for one in told:
        room -= one.letters
        if room < 0 and len(taken) >= least:
            break
        taken.append(one)
    return taken
