"""Outside its range a formula refuses, and never gives a number."""

from itertools import count
from math import inf, nan

import pytest
from hypothesis import given
from hypothesis import strategies as st

from safety.domain.exposures import (
    air,
    falls,
    heat,
    lifting,
    noise,
    uv,
    vibration,
    wind,
)
from safety.domain.exposures.lifting import Duration, HandLift
from safety.domain.exposures.ranges import OutOfRange

IDEAL = HandLift(25, 75, 25)


@pytest.mark.parametrize(
    "call",
    [
        lambda: noise.lex_8h([noise.Spell(141, 1)]),
        lambda: noise.lex_8h([noise.Spell(90, -1)]),
        lambda: noise.lex_8h([noise.Spell(90, 800), noise.Spell(80, 800)]),
        lambda: noise.lex_8h([noise.Spell(nan, 10)]),
        lambda: noise.allowed_minutes(150),
        lambda: noise.osha_twa(0),
        lambda: noise.shift_adjustment_db(25),
        lambda: noise.protector_class(110),
        lambda: vibration.a8([vibration.Grip(51, 1)]),
        lambda: vibration.points([vibration.Grip(5, 1500)]),
        lambda: vibration.minutes_to(2.5, 0),
        lambda: vibration.a8_of_points(-1),
        lambda: lifting.recommended_weight(HandLift(64, 75, 25)),
        lambda: lifting.recommended_weight(HandLift(25, 176, 25)),
        lambda: lifting.recommended_weight(HandLift(25, 75, 176)),
        lambda: lifting.recommended_weight(HandLift(25, 75, 25, twist_deg=136)),
        lambda: lifting.recommended_weight(HandLift(25, 75, 25, per_minute=17)),
        lambda: lifting.lifting_index(300, IDEAL),
        lambda: lifting.lifting_index(5, HandLift(25, 50, 25, 0, 13)),
        lambda: lifting.composite_index([]),
        lambda: lifting.lifts_a_minute(10, 16),
        lambda: lifting.share_of_team(40, 0),
        lambda: falls.FallArrest(lanyard_m=2.5).clearance_m,
        lambda: falls.arrests_in_time(-1),
        lambda: falls.ladder_foot_out_m(0.5),
        lambda: falls.ladder_length_m(9),
        lambda: falls.ladder_angle_deg(3, 2),
        lambda: wind.pressure_pa(61),
        lambda: wind.beaufort(-0.1),
        lambda: wind.sheet_force_n(8, 16, 0.76),
        lambda: heat.heat_index_c(19, 50),
        lambda: heat.wbgt_estimate_degc(14.9, 50),
        lambda: heat.wbgt_estimate_degc(50.1, 10),
        lambda: heat.wbgt_estimate_degc(30, 101),
        lambda: heat.wbgt_estimate_degc(40, 90),
        lambda: heat.vapour_pressure_hpa(nan, 50),
        lambda: heat.heat_index_f(90, 101),
        lambda: heat.work_rest(61, heat.Load.LIGHT, used_to_heat=True),
        lambda: heat.niosh_limit_degc(50, used_to_heat=True),
        lambda: heat.wbgt_outdoors_degc(81, 30, 30),
        lambda: uv.band(26),
        lambda: air.average_8h([air.Breathed(1, 25)]),
        lambda: air.mixture([(1, 0)]),
        lambda: air.past_half(0.01, 0),
    ],
    ids=count(),
)
def test_outside_its_range_a_formula_refuses(call):
    with pytest.raises(OutOfRange, match="the formula holds from"):
        call()


@given(st.floats(60, 120), st.floats(0, 480), st.floats(0, 480))
def test_more_minutes_are_never_less_noise(level, minutes, more):
    def day(total):
        return noise.lex_8h(noise.busiest_day([noise.Spell(level, total)]))

    assert day(minutes + more) >= day(minutes)


@given(
    st.lists(st.builds(noise.Spell, st.floats(60, 120), st.floats(0, 600)), max_size=6)
)
def test_a_busiest_day_is_never_longer_than_a_day(spells):
    day = noise.busiest_day(spells)
    assert sum(spell.minutes for spell in day) <= noise.DAY_MINUTES + 1e-9


def test_a_long_quiet_spell_does_not_push_a_loud_one_out():
    loud, quiet = noise.Spell(100, 60), noise.Spell(70, 900)
    assert noise.busiest_day([quiet, loud])[0] == loud


@pytest.mark.parametrize(
    ("level", "number"),
    [
        (-inf, None),
        (84.9, None),
        (85, 1),
        (89.9, 1),
        (90, 2),
        (95, 3),
        (99.9, 3),
        (100, 4),
        (104.9, 4),
        (105, 5),
        (109.9, 5),
    ],
)
def test_the_class_of_hearing_protector(level, number):
    assert noise.protector_class(level) == number


@given(st.floats(0.1, 60), st.integers(1, 7))
def test_one_more_person_never_carries_more(mass, people):
    share = lifting.share_of_team(mass, people)
    assert lifting.share_of_team(mass, people + 1) <= share + 1e-9


@given(st.floats(0.2, 15.9), st.sampled_from(list(Duration)))
def test_more_lifts_a_minute_never_raise_the_weight(rate, duration):
    slow = HandLift(30, 60, 50, per_minute=rate, duration=duration)
    fast = HandLift(30, 60, 50, per_minute=rate + 0.1, duration=duration)
    assert (
        lifting.frequency_multiplier(fast) <= lifting.frequency_multiplier(slow) + 1e-9
    )


@pytest.mark.parametrize(
    ("wbgt", "load", "used", "share"),
    [
        (31.0, heat.Load.LIGHT, True, (75, 100)),
        (31.1, heat.Load.LIGHT, True, (25, 50)),
        (28.1, heat.Load.MODERATE, True, (50, 75)),
        (26.0, heat.Load.HEAVY, True, (50, 75)),
        (30.0, heat.Load.VERY_HEAVY, True, (0, 25)),
        (24.4, heat.Load.VERY_HEAVY, False, (25, 50)),
    ],
)
def test_the_share_of_an_hour_that_may_be_worked(wbgt, load, used, share):
    found = heat.work_rest(wbgt, load, used_to_heat=used)
    assert found == heat.WorkRest(*share)


def test_past_the_last_limit_work_stops():
    assert heat.work_rest(30.1, heat.Load.VERY_HEAVY, used_to_heat=True) is None
