"""Every line of a plan is its hazard of the library, in the step and place it is for."""

from dataclasses import replace
from datetime import date

import pytest

from safety.domain.engine import hazard_plan
from safety.domain.library import Scope
from safety.domain.plan import WHOLE_JOB
from tests.safety.domain.jobs import PATIO, PATIO_TASKS, job, task
from tests.safety.domain.rules import rule_book

ON = date(2026, 8, 10)


def roof(height=2.7):
    return task("lay_sheets", height=height)


def plan(*tasks, place="au-nsw", on=ON):
    return hazard_plan(job(*tasks), rule_book(place), on)


def raised(line):
    return " ".join(line.raised)


def test_a_plan_says_under_which_rules_it_was_made(patio, nsw):
    assert (patio.pack, patio.pack_name) == ("au-nsw", nsw.pack.name)
    assert patio.matrix == nsw.risk.matrix.key
    assert patio.on == ON


def test_a_line_is_its_hazard_of_the_library(patio, nsw):
    known = nsw.library.by_key()
    for line in patio.lines:
        hazard = known[line.hazard]
        assert line.key == f"{line.task_key or 'job'}/{hazard.key}"
        assert (line.theme, line.harm) == (hazard.theme, hazard.harm)
        assert line.no_higher_control == hazard.no_higher_control
        assert {c.key for c in line.controls} <= {c.key for c in hazard.controls}


def test_hazards_of_the_job_stand_before_the_steps_and_nowhere_else(patio, nsw):
    known = nsw.library.by_key()
    for line in patio.lines:
        of_job = known[line.hazard].scope is Scope.JOB
        assert (line.task_key == WHOLE_JOB) is of_job
        assert (line.position == 0) is of_job


def test_a_hazard_that_the_firm_switched_off_is_in_no_plan(nsw):
    hazards = tuple(
        replace(one, off="We hire scaffolders.") if one.scope is Scope.TASK else one
        for one in nsw.library.hazards
    )
    rules = replace(nsw, library=replace(nsw.library, hazards=hazards))
    found = hazard_plan(PATIO, rules, ON)
    assert {line.task_key for line in found.lines} == {WHOLE_JOB}


def test_high_risk_work_is_marked_on_the_steps_and_hazards_that_make_it(patio):
    marked = {line.key for line in patio.lines if "a" in line.categories}
    assert "lay_sheets/fall_from_height" in marked
    assert "job/wet_roof" in marked  # of the whole job: some step is in the category
    assert "set_out/string_lines" not in marked
    steps = next(c.tasks for c in patio.categories if c.key == "a")
    of_steps = {key.partition("/")[0] for key in marked} - {"job"}
    assert of_steps == set(steps)
    known = rule_book("au-nsw").library.by_key()
    for line in patio.lines:
        if "a" in line.categories:
            assert "fall_from_height" in known[line.hazard].topics


@pytest.mark.parametrize(
    ("place", "month", "is_summer"),
    [
        ("au-nsw", 1, True),
        ("au-nsw", 7, False),
        ("nz", 1, True),
        ("nz", 7, False),
        ("uk", 1, False),
        ("uk", 7, True),
        ("us", 1, False),
        ("us", 7, True),
    ],
)
def test_summer_comes_in_its_half_of_the_world(place, month, is_summer):
    found = plan(roof(), place=place, on=date(2026, month, 13))
    summer = [line for line in found.lines if "It is summer." in line.raised]
    assert bool(summer) is is_summer


def test_the_first_reason_for_each_step_up_is_told_and_no_other():
    low, high, higher = (
        plan(roof(height)).line("lay_sheets/fall_from_height")
        for height in (0.9, 2.7, 3.5)
    )
    assert low.raised == ()
    assert raised(high) == "From more than 1 m a fall on to concrete can kill. " + (
        "Open edge more than 2 m up, worked at again and again."
    )
    assert "From more than 3 m the fall itself is likely to kill." in raised(higher)
    assert "From more than 1 m" not in raised(higher)
    assert (low.initial.likelihood, low.initial.consequence) == (3, 3)
    assert (high.initial.likelihood, high.initial.consequence) == (4, 4)
    assert (higher.initial.likelihood, higher.initial.consequence) == (4, 5)


def test_controls_carry_the_words_of_the_library_where_nothing_is_filled_in(patio, nsw):
    known = {control.key: control for control in nsw.library.controls()}
    for line in patio.lines:
        for control in line.controls:
            of_library = known[control.key]
            assert (control.who, control.when) == (of_library.who, of_library.when)
            assert control.level is of_library.level
            if "{" not in of_library.ask:
                assert control.ask == of_library.ask


def test_every_step_of_the_patio_has_its_own_lines(patio):
    for step in PATIO_TASKS:
        for line in patio.lines_of(step.key):
            assert (line.task_name, line.position) == (step.name, step.position)
