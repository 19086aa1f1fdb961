"""Noise and vibration of a step are judged by the whole day that it is part of."""

from dataclasses import replace
from datetime import date

from hypothesis import given, settings
from hypothesis import strategies as st

from jobs.domain.facts import ToolUse
from safety.domain.engine import hazard_plan, judged
from safety.domain.exposures.days import Hours
from tests.safety.domain.jobs import job, task
from tests.safety.domain.rules import rule_book
from tests.safety.domain.test_worse_is_never_better import (
    LOUD,
    assert_not_lower,
    ratings,
)

ON = date(2026, 8, 10)


def step(kind, position, *uses, **changes):
    tools = tuple(ToolUse(*use) for use in uses)
    return task(kind, position=position, tools=tools, **changes)


GRIND = step("cut_steel", 1, ("angle_grinder", 12.0))
DRILL = step("drill_slab", 2, ("rotary_hammer", 7.0))
BOLT = step("fix_brackets", 1, ("impact_wrench", 15.0))
HAMMER = step("drill_slab", 2, ("rotary_hammer", 20.0))


def plan(*tasks, hours=None, place="au-nsw"):
    book = rule_book(place)
    if hours:
        book = replace(book, bench=replace(book.bench, hours=hours))
    return hazard_plan(job(*tasks), book, ON)


def test_two_steps_below_the_limit_are_past_it_on_one_day():
    alone = plan(GRIND).line("cut_steel/noise")
    assert "Over the whole day: 84 dB(A), not past the limit of 85 dB(A)" in alone.why
    assert alone.raised == ()
    together = plan(GRIND, DRILL).line("cut_steel/noise")
    assert "Over the whole day: 86.8 dB(A), past the limit of 85 dB(A)" in together.why
    assert together.raised == (
        "One person on every tool of the day is past the limit.",
    )
    assert together.initial.likelihood > alone.initial.likelihood
    controls = {control.key: control.text for control in together.controls}
    assert "noise_swap" in controls
    assert "class 1 or better" in controls["noise_protectors"]


def test_on_days_of_their_own_they_are_not():
    apart = replace(DRILL, after=("cut_steel",), wait_hours=24.0)
    assert plan(GRIND, apart).line("cut_steel/noise").raised == ()


def test_a_step_that_adds_little_is_told_of_the_day_and_not_rated_by_it():
    little = step("lift_beams", 2, ("impact_wrench", 1.0))
    line = plan(step("cut_steel", 1, ("circular_saw", 30.0)), little).line(
        "lift_beams/noise"
    )
    assert "dB(A), past the limit" in line.why
    assert line.raised == ()


def test_vibration_of_a_day_is_a_hazard_of_each_step_that_adds_to_it():
    assert not [x for x in plan(BOLT).lines if x.hazard == "vibration"]
    found = plan(BOLT, HAMMER, step("lay_sheets", 3, ("screw_gun", 20.0)))
    lines = [x for x in found.lines if x.hazard == "vibration"]
    assert [x.task_key for x in lines] == ["fix_brackets", "drill_slab"]
    assert lines[0].name == "Vibration of hands, A(8) 2.9 m/s² in a day"
    assert "m/s², 132 points" in lines[0].why


def test_the_trace_says_that_the_day_decided():
    trace = judged(
        job(BOLT), rule_book(), ON, task_key="fix_brackets", hazard="vibration"
    )
    assert trace is not None
    assert not trace.outcome.bites
    found = {leaf.fact: leaf.found for leaf in trace.leaves()}
    assert found["exposure.hav_day_a8_ms2"] == (
        "Vibration for one person over the day: 2.1 m/s², at most 2.5 m/s²."
    )


def test_a_long_shift_counts_where_the_place_says_so():
    long = Hours(work_minutes=570.0, clock_hours=11.0)
    assert plan(GRIND).line("cut_steel/noise").raised == ()
    assert (
        "Over the whole day: 85 dB(A)"
        in plan(GRIND, hours=long).line("cut_steel/noise").why
    )
    assert (
        "Over the whole day: 84 dB(A)"
        in plan(GRIND, hours=long, place="uk").line("cut_steel/noise").why
    )


@settings(max_examples=60)
@given(
    minutes=st.lists(st.floats(0, 90), min_size=len(LOUD), max_size=len(LOUD)),
    more=st.floats(0, 300),
    which=st.integers(0, len(LOUD) - 1),
    labour=st.floats(60, 900),
    place=st.sampled_from(["au-nsw", "uk", "us"]),
)
def test_more_minutes_at_one_step_never_lower_any_step(
    minutes, more, which, labour, place
):
    kinds = ("cut_steel", "drill_slab", "fix_brackets", "cut_timber", "lay_sheets")

    def work(times):
        return job(
            *(
                step(kind, n, (tool, m), person_minutes=labour)
                for n, (kind, tool, m) in enumerate(
                    zip(kinds, LOUD, times, strict=True), 1
                )
            )
        )

    longer = [m + more if i == which else m for i, m in enumerate(minutes)]
    assert_not_lower(ratings(work(minutes), place), ratings(work(longer), place))


@settings(max_examples=40)
@given(
    minutes=st.lists(st.floats(1, 40), min_size=3, max_size=3),
    labour=st.floats(20, 900),
)
def test_a_day_past_the_action_value_has_a_step_that_says_so(minutes, labour):
    kinds = ("cut_steel", "drill_slab", "fix_brackets")
    steps = [
        step(kind, n, ("impact_wrench", m), person_minutes=labour)
        for n, (kind, m) in enumerate(zip(kinds, minutes, strict=True), 1)
    ]
    found = plan(*steps)
    in_one_day = labour * 3 <= 900
    past = in_one_day and sum(minutes) * 288 / 60 > 100.0
    assert not past or any(line.hazard == "vibration" for line in found.lines)
