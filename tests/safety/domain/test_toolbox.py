"""What is told before work: the day's worst, and no more than a page holds."""

import pytest

from safety.domain.condense import badness
from safety.domain.plan import When
from safety.domain.toolbox import (
    CONTROLS_EACH,
    DEADLY,
    LEAST_SHOWN,
    MOST_SHOWN,
    STEPS_IN_SHORT,
    WEATHER,
    Brief,
    briefs,
    in_brief,
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


def test_every_hazard_of_the_day_is_there_the_worst_of_the_steps_first():
    made = content()
    told = talk(made, ROOF)
    hazards = {line["hazard"] for line in lines_of_day(made, ROOF)}
    assert len(told.hazards) + len(told.weather) == len(hazards)
    ratings = [badness(one.before) for one in told.hazards if one.steps]
    assert ratings == sorted(ratings, reverse=True)
    assert all(one.steps for one in told.hazards[:LEAST_SHOWN])


def test_the_worst_that_is_always_there_has_its_place():
    made = content()
    always = talk(made, ROOF).hazards[LEAST_SHOWN]
    assert not always.steps
    (job,) = [step for step in made["steps"] if step["whole_job"]]
    ratings = [badness(x["initial"]) for x in job["lines"] if x["theme"] != WEATHER]
    assert badness(always.before) == max(ratings)


def test_each_hazard_is_told_with_what_must_be_there_first():
    for one in talk(content(), ROOF).hazards:
        assert 1 <= len(one.controls) <= CONTROLS_EACH
    rails = talk(content(), ROOF).hazards[0].controls
    assert rails[0]["when"] in AHEAD


def said(hazards, weather=0):
    """What a talk says, of hazards that are deadly by turns."""
    return {
        "tasks": [{"number": n, "name": f"Step {n}"} for n in range(10)],
        "hazards": [
            {"name": f"Hazard {n}", "steps": [n] * (n % 3), "deadly": n % 2 == 0}
            | {"controls": ["first", "second"]}
            for n in range(hazards)
        ],
        "weather": [
            {"name": f"Sky {n}", "steps": [], "deadly": n == 2, "controls": ["in"]}
            for n in range(weather)
        ],
    }


def test_ways_to_tell_get_ever_shorter_and_end_at_the_least():
    ways = [*briefs(40)]
    assert ways[0] == Brief(MOST_SHOWN, CONTROLS_EACH, 3)
    sizes = [(way.hazards, way.controls, way.weather) for way in ways]
    assert sizes == sorted(sizes, reverse=True)
    assert sizes[-1] == (LEAST_SHOWN + 1, 1, 1)


def test_all_steps_are_listed_unless_told_otherwise():
    whole = in_brief(said(9), next(briefs(9)))
    assert (len(whole["tasks"]), whole["more_tasks"]) == (10, 0)
    short = in_brief(said(9), next(briefs(9, STEPS_IN_SHORT)))
    assert (len(short["tasks"]), short["more_tasks"]) == (8, 2)


def test_a_day_of_few_hazards_is_told_whole():
    assert next(briefs(2)).hazards == 2
    assert [*briefs(0)]


@pytest.mark.parametrize("way", [*briefs(40)])
def test_whatever_could_kill_is_named_however_short_it_is(way):
    full = said(40, 3)
    brief = in_brief(full, way)
    named = [
        one["name"]
        for part in ("hazards", "weather", "deadly_too")
        for one in brief[part]
    ]
    assert len(named) == len(set(named))
    deadly = [one for part in ("hazards", "weather") for one in full[part]]
    assert {one["name"] for one in deadly if one["deadly"]} <= set(named)
    assert len(named) + brief["more_hazards"] == 43
    assert all(len(one["controls"]) <= way.controls for one in brief["hazards"])


def test_those_of_the_steps_are_read_out_before_those_always_there():
    steps = [bool(one["steps"]) for one in in_brief(said(9), Brief(9, 2, 3))["hazards"]]
    assert steps == sorted(steps, reverse=True)


def test_deadly_is_what_the_statement_rates_so_before_controls():
    made = content()
    worst: dict[str, int] = {}
    for line in lines_of_day(made, ROOF):
        harm = line["initial"]["consequence"]
        worst[line["hazard"]] = max(harm, worst.get(line["hazard"], 0))
    deadly = [h for h, harm in worst.items() if harm >= DEADLY]
    told = talk(made, ROOF)
    assert sum(one.is_deadly for one in (*told.hazards, *told.weather)) == len(deadly)
    assert deadly


def test_weather_is_told_by_itself():
    made = content()
    skies = {x["name"] for x in lines_of_day(made, ROOF) if x["theme"] == WEATHER}
    told = talk(made, ROOF)
    assert told.weather
    assert {one.name for one in told.weather} <= skies
    assert not skies & {one.name for one in told.hazards}
