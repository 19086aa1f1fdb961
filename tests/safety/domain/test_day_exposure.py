"""Noise and vibration of one person over a working day."""

from dataclasses import replace

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from jobs.domain.facts import ToolUse
from safety.domain.exposures.day import (
    Figures,
    PersonDay,
    StepDay,
    by_step,
    day_exposure,
    figures,
    loudest_day,
    minutes_left,
    one_person,
    person_day,
    shared,
    strongest_day,
)
from safety.domain.exposures.days import Part, WorkDay, planned_days
from safety.domain.exposures.noise import Spell
from safety.domain.exposures.tasks import Measured
from safety.domain.exposures.vibration import Grip
from tests.safety.domain.jobs import task
from tests.safety.domain.rules import tools

LOUD = ("angle_grinder", "rotary_hammer", "impact_wrench", "circular_saw", "screw_gun")
FOUND = figures(tools())
HALF_A_DAY = 225.0


def part(minutes_by_tool, *, share=1.0, minutes=HALF_A_DAY, people=2, kind="cut_steel"):
    uses = tuple(ToolUse(tool, minutes) for tool, minutes in minutes_by_tool.items())
    return Part(task(kind, tools=uses), share, minutes, people)


def day_of(*parts, people=2):
    return WorkDay(1, 450.0, people, tuple(parts))


def exposure(*parts):
    return day_exposure(day_of(*parts), FOUND)


PARTS = st.lists(
    st.builds(
        part,
        st.dictionaries(st.sampled_from(LOUD), st.floats(0, 300)),
        share=st.floats(0.05, 1.0),
        minutes=st.floats(5, 450),
        people=st.integers(1, 4),
    ),
    min_size=1,
    max_size=5,
)


def test_steps_that_are_each_below_85_decibels_are_above_it_together():
    cut, drill = {"angle_grinder": 12.0}, {"rotary_hammer": 7.0}
    alone = [exposure(part(one)).highest.lex_8h_dba for one in (cut, drill)]
    both = exposure(part(cut), part(drill)).highest
    assert [round(level, 1) for level in alone] == [84.0, 83.6]
    assert both.lex_8h_dba == pytest.approx(86.8, abs=0.05)


def test_steps_that_are_each_below_the_action_value_are_above_it_together():
    one, two = {"impact_wrench": 15.0}, {"rotary_hammer": 20.0}
    # HSE points: 288 an hour at 12 m/s2, 162 at 9
    assert exposure(part(one)).highest.points == pytest.approx(72)
    assert exposure(part(two)).highest.points == pytest.approx(54)
    assert exposure(part(one), part(two)).highest.points == pytest.approx(126)


def test_tools_shared_by_three_are_a_third_for_each():
    found = exposure(part({"rotary_hammer": 60.0}, people=3))
    assert found.highest.spells == (Spell(102.0, 60.0),)
    assert found.even.spells == (Spell(102.0, 20.0),)
    assert found.even.grips == (Grip(9.0, 20.0),)


def test_a_step_of_several_days_may_have_all_its_noise_on_one_of_them():
    drilling = {"rotary_hammer": 60.0}
    whole, little = (part(drilling, share=0.5, minutes=m) for m in (225.0, 10.0))
    assert one_person(whole, whole.task.tools[0]) == 60.0
    # no more than the time that the step has that day, unless its even share is more
    assert one_person(little, little.task.tools[0]) == 30.0
    assert one_person(replace(little, share=0.1), little.task.tools[0]) == 10.0
    assert shared(whole, whole.task.tools[0]) == 15.0


def test_nobody_runs_tools_for_longer_than_a_day():
    found = exposure(part({"circular_saw": 300.0, "screw_gun": 300.0}))
    assert found.highest.spells == (Spell(105.0, 300.0), Spell(86.0, 150.0))


def test_the_firm_s_own_figures_replace_the_typical_ones():
    own = figures(tools(), Measured({"angle_grinder": 90.0}, {"own_tool": 1.5}))
    assert own.noise_dba["angle_grinder"] == 90.0
    assert own.noise_dba["circular_saw"] == FOUND.noise_dba["circular_saw"]
    assert own.vibration_ms2["own_tool"] == 1.5
    assert own.measured == {"angle_grinder", "own_tool"}


def test_a_day_without_noise_has_none():
    quiet = exposure(part({}))
    assert quiet.highest == PersonDay((), (), 0.0, 0.0, 0.0, 0.0)
    assert loudest_day([quiet]) is None
    assert strongest_day([quiet]) is None
    assert minutes_left(quiet.highest, 2.5) is None


def test_the_day_with_most_noise_need_not_have_most_vibration():
    loud = exposure(part({"circular_saw": 30.0}))
    shaking = exposure(part({"rotary_hammer": 40.0}))
    days = [shaking, loud]
    assert [loudest_day(days), strongest_day(days)] == [loud, shaking]


def test_minutes_left_are_those_of_the_strongest_tool():
    # 5 m/s2 reaches 2.5 in two hours and 5 in eight (HSE ready reckoner)
    grips = (Grip(5.0, 30.0), Grip(2.5, 60.0))
    person = PersonDay((), grips, 0.0, 0.0, 0.0, 0.0)
    assert minutes_left(person, 2.5) == pytest.approx(120 - 30 - 15)
    assert minutes_left(person, 5.0) == pytest.approx(480 - 30 - 15)
    assert minutes_left(replace(person, grips=(Grip(5.0, 130.0),)), 2.5) == 0.0


def test_a_step_is_never_judged_below_itself_and_a_quiet_one_has_nothing_of_its_day():
    grinding = task("cut_steel", tools=(ToolUse("angle_grinder", 12.0),))
    drilling = task("drill_slab", position=2, tools=(ToolUse("rotary_hammer", 7.0),))
    handover = task("handover", position=3)
    steps = (grinding, drilling, handover)
    days = [day_exposure(day, FOUND) for day in planned_days(steps)]
    found = by_step(days, steps, FOUND)
    assert found["cut_steel"] == found["drill_slab"]
    assert found["cut_steel"].noise_dba == pytest.approx(86.8, abs=0.05)
    assert found["handover"] == StepDay()
    alone = by_step([], steps, FOUND)
    assert alone["cut_steel"].noise_dba == pytest.approx(84.0, abs=0.05)


def test_a_long_shift_adds_to_noise_only_where_there_is_any():
    assert StepDay(86.0, 2.0, 60.0).adjusted(1.0) == StepDay(87.0, 2.0, 60.0)
    assert StepDay().adjusted(1.0) == StepDay()


@settings(max_examples=80)
@given(
    parts=PARTS,
    more=st.floats(0, 300),
    which=st.integers(0, 4),
    tool=st.sampled_from(LOUD),
)
def test_more_minutes_never_lower_a_day(parts, more, which, tool):
    at = which % len(parts)
    old = parts[at]
    uses = {use.tool: use.minutes for use in old.task.tools}
    uses[tool] = uses.get(tool, 0.0) + more
    longer = tuple(ToolUse(*pair) for pair in uses.items())
    parts_after = list(parts)
    parts_after[at] = replace(old, task=replace(old.task, tools=longer))
    before, after = exposure(*parts), exposure(*parts_after)
    for case in ("highest", "even"):
        one, two = getattr(before, case), getattr(after, case)
        assert two.lex_8h_dba >= one.lex_8h_dba - 1e-9
        assert two.osha_dose_pct >= one.osha_dose_pct - 1e-9
        assert two.a8_ms2 >= one.a8_ms2 - 1e-9
        assert two.points >= one.points - 1e-9


@settings(max_examples=80)
@given(parts=PARTS, more=st.integers(0, 6))
def test_sharing_among_more_people_never_raises(parts, more):
    before = exposure(*parts)
    after = exposure(*(replace(p, people=p.people + more) for p in parts))
    assert after.even.lex_8h_dba <= before.even.lex_8h_dba + 1e-9
    assert after.even.points <= before.even.points + 1e-9
    assert before.even.lex_8h_dba <= before.highest.lex_8h_dba + 1e-9
    assert before.even.points <= before.highest.points + 1e-9


@settings(max_examples=80)
@given(parts=PARTS, seed=st.randoms(use_true_random=False))
def test_the_order_of_steps_in_a_day_does_not_matter(parts, seed):
    mixed = list(parts)
    seed.shuffle(mixed)
    before, after = exposure(*parts), exposure(*mixed)
    for case in ("highest", "even"):
        one, two = getattr(before, case), getattr(after, case)
        assert two.lex_8h_dba == pytest.approx(one.lex_8h_dba)
        assert two.points == pytest.approx(one.points)


@settings(max_examples=40)
@given(parts=PARTS, quieter=st.floats(0, 40))
def test_a_quieter_tool_never_raises_a_day(parts, quieter):
    assume(any(p.task.tools for p in parts))
    low = {tool: level - quieter for tool, level in FOUND.noise_dba.items()}
    found = person_day(parts, one_person, Figures(low, {}, frozenset()), 450.0)
    loud = person_day(parts, one_person, FOUND, 450.0)
    assert found.lex_8h_dba <= loud.lex_8h_dba + 1e-9
