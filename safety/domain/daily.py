"""Questions of the daily check, drawn from the statement that is in force."""

from collections.abc import Collection
from dataclasses import dataclass
from enum import StrEnum

from safety.domain.statement import Content


class About(StrEnum):
    """What a question is about; the page groups by it."""

    PEOPLE = "people"
    WEATHER = "weather"
    ACCESS = "access"
    CONTROLS = "controls"


@dataclass(frozen=True, slots=True)
class Question:
    """One question. "No" means: put it right, or do not start.

    ``key`` is the control's, or the fixed key of a general question; ``steps`` are the
    keys of today's steps that ask it, and ``lines`` the statement's lines behind it.
    """

    key: str
    about: About
    text: str
    steps: tuple[str, ...] = ()
    lines: tuple[str, ...] = ()


_PEOPLE = (
    Question(
        "people.signed",
        About.PEOPLE,
        "Has everybody here today read this statement and signed on to it?",
    ),
    Question(
        "people.fit",
        About.PEOPLE,
        "Is everybody rested, well and free of alcohol and drugs?",
    ),
)
_WEATHER = (
    Question(
        "weather.wind",
        About.WEATHER,
        "Have you read today's wind forecast, and does it stay below the limits here?",
    ),
    Question(
        "weather.heat_rain",
        About.WEATHER,
        "Is there no storm, heavy rain or great heat on the way that would stop a step?",
    ),
)
_ACCESS = (
    Question(
        "access.clear",
        About.ACCESS,
        "Is the way in and out clear, dry and lit, and free for an ambulance?",
    ),
    Question(
        "access.kept_out",
        About.ACCESS,
        "Are the people of the house, children, pets and neighbours kept out?",
    ),
    Question(
        "access.changed",
        About.ACCESS,
        "Is the site as the statement says it is, with nothing new since yesterday?",
    ),
)


def questions(content: Content, task_keys: Collection[str]) -> tuple[Question, ...]:
    """The questions for one day: people, weather, access, then today's controls.

    ``task_keys`` are the steps worked on today; questions of the whole job are always
    asked. A control that stands in several lines is asked once.
    """
    asked: dict[str, Question] = {}
    for step in content["steps"]:
        if not step["whole_job"] and step["key"] not in task_keys:
            continue
        for line in step["lines"]:
            for control in line["controls"]:
                if control["ask"]:
                    _ask(asked, control, step["key"], line["key"])
    return (*_PEOPLE, *_WEATHER, *_ACCESS, *asked.values())


def _ask(asked: dict[str, Question], control: Content, step: str, line: str) -> None:
    before = asked.get(control["key"])
    steps = before.steps if before else ()
    asked[control["key"]] = Question(
        key=control["key"],
        about=About.CONTROLS,
        text=control["ask"],
        steps=steps if not step or step in steps else (*steps, step),
        lines=(*(before.lines if before else ()), line),
    )
