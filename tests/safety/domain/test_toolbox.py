"""What is told before work: the day's worst, and no more than a page holds."""

import pytest

from safety.domain.condense import badness
from safety.domain.plan import When
from safety.domain.toolbox import (
    CONTROLS_EACH,
    LEAST_SHOWN,
    LETTERS,
    MOST_WEATHER,
    WEATHER,
    talk,
)
from tests.safety.domain.contents import content

ROOF = ["lay_sheets"]
AHEAD = {When.BEFORE_JOB, When.DAY_START, When.TASK_START}


def lines_of_day(made, keys):
    return [
        line
        for step in made["steps"]
        if step["whole_job"] or step["key"] in keys
        for line in step["lines"]
    ]


def test_only_hazards_of_the_day_and_of_the_whole_job_are_told():
    made = content()
    names = {line["name"] for line in lines_of_day(made, ROOF)}
    told = talk(made, ROOF)
    assert {one.name for one in (*told.hazards, *told.weather)} <= names


def test_a_fall_from_the_roof_leads_the_day_on_the_roof():
    first = talk(content(), ROOF).hazards[0]
    assert first.name.startswith("Falling")
    assert first.steps


def test_the_worst_of_the_steps_are_told_and_nothing_worse_is_left_out():
    made = content()
    told = talk(made, ROOF)
    ratings = [badness(one.before) for one in told.hazards if one.steps]
    assert ratings == sorted(ratings, reverse=True)
    shown = {one.name for one in told.hazards}
    (roof,) = [step for step in made["steps"] if step["key"] == "lay_sheets"]
    left = [
        badness(line["initial"])
        for line in roof["lines"]
        if line["name"] not in shown and line["theme"] != WEATHER
    ]
    assert max(left, default=(0, 0)) <= ratings[-1]


def test_the_worst_that_is_always_there_has_its_place():
    made = content()
    always = [one for one in talk(made, ROOF).hazards if not one.steps]
    (job,) = [step for step in made["steps"] if step["whole_job"]]
    ratings = [badness(x["initial"]) for x in job["lines"] if x["theme"] != WEATHER]
    assert badness(always[0].before) == max(ratings)


def test_what_is_not_told_is_counted():
    told = talk(content(), ROOF)
    hazards = {line["hazard"] for line in lines_of_day(content(), ROOF)}
    assert told.left == len(hazards) - len(told.hazards) - len(told.weather) > 0


def test_each_hazard_is_told_with_what_must_be_there_first():
    for one in talk(content(), ROOF).hazards:
        assert 1 <= len(one.controls) <= CONTROLS_EACH
    rails = talk(content(), ROOF).hazards[0].controls
    assert rails[0]["when"] in AHEAD


@pytest.mark.parametrize("keys", [ROOF, [], [s["key"] for s in content()["steps"]]])
def test_it_keeps_to_the_room_there_is(keys):
    told = talk(content(), keys)
    letters = sum(one.letters for one in told.hazards)
    longest = max(one.letters for one in told.hazards)
    assert letters <= LETTERS + LEAST_SHOWN * longest
    assert len(told.weather) <= MOST_WEATHER


def test_weather_is_told_by_itself():
    made = content()
    skies = {x["name"] for x in lines_of_day(made, ROOF) if x["theme"] == WEATHER}
    told = talk(made, ROOF)
    assert told.weather
    assert {one.name for one in told.weather} <= skies
    assert not skies & {one.name for one in told.hazards}


def test_a_long_tale_of_one_hazard_does_not_push_out_the_worst():
    made = content()
    for line in lines_of_day(made, ROOF):
        for control in line["controls"]:
            control["text"] = "Keep off. " * LETTERS
    told = talk(made, ROOF)
    assert len([one for one in told.hazards if one.steps]) == LEAST_SHOWN
