"""Both ends of each range belong to it, and a hair beyond is refused; whole tables."""

from dataclasses import replace
from itertools import count
from math import inf

import pytest

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
from safety.domain.exposures.heat import Load
from safety.domain.exposures.lifting import Duration, HandLift, Hold
from safety.domain.exposures.ranges import OutOfRange

HAIR = 1e-6


def lift(**changes):
    return HandLift(**{"reach_cm": 25, "height_cm": 75, "travel_cm": 25} | changes)


def ladder_angle(length):
    return falls.ladder_angle_deg(3, length)


RANGES = [
    ("Noise level in dB(A)", lambda v: noise.lex_8h([noise.Spell(v, 1)]), 20, 140),
    ("Minutes of noise", lambda v: noise.lex_8h([noise.Spell(80, v)]), 0, 1440),
    (
        "Minutes of noise in a day",
        lambda v: noise.lex_8h([noise.Spell(80, v / 2)] * 2),
        0,
        1440,
    ),
    ("Noise level in dB(A)", noise.allowed_minutes, 20, 140),
    ("Hours of the shift", noise.shift_adjustment_db, 0, 24),
    ("Noise dose in percent", noise.osha_twa, 0.001, 6400),
    (
        "Vibration magnitude in m/s2",
        lambda v: vibration.a8([vibration.Grip(v, 1)]),
        0,
        50,
    ),
    ("Trigger minutes", lambda v: vibration.points([vibration.Grip(1, v)]), 0, 1440),
    (
        "Trigger minutes in a day",
        lambda v: vibration.points([vibration.Grip(1, v / 2)] * 2),
        0,
        1440,
    ),
    ("Exposure points", vibration.a8_of_points, 0, 1e6),
    ("Vibration magnitude in m/s2", lambda v: vibration.minutes_to(2.5, v), 0.01, 50),
    ("Reach in cm", lambda v: lifting.recommended_weight(lift(reach_cm=v)), 0, 63),
    (
        "Height of the hands in cm",
        lambda v: lifting.recommended_weight(lift(height_cm=v)),
        0,
        175,
    ),
    ("Travel in cm", lambda v: lifting.recommended_weight(lift(travel_cm=v)), 0, 175),
    (
        "Twist in degrees",
        lambda v: lifting.recommended_weight(lift(twist_deg=v)),
        0,
        135,
    ),
    ("Lifts a minute", lambda v: lifting.recommended_weight(lift(per_minute=v)), 0, 16),
    ("Mass in kg", lambda v: lifting.lifting_index(v, lift()), 0, 200),
    ("Minutes of lifting", lambda v: lifting.lifts_a_minute(10, v), 0, 15),
    ("Lanyard in m", lambda v: falls.FallArrest(lanyard_m=v).clearance_m, 0, 2),
    ("Height of the anchor in m", falls.arrests_in_time, 0, 100),
    ("Height of the anchor in m", falls.clearance_missing_m, 0, 100),
    ("Height of the support in m", falls.ladder_foot_out_m, 1, 9),
    ("Height of the support in m", falls.ladder_foot_out_by_length_m, 1, 9),
    ("Height of the landing in m", falls.ladder_length_m, 0.5, 8),
    ("Length to the support in m", ladder_angle, 3, 12),
    ("Wind speed in m/s", wind.pressure_pa, 0, 60),
    ("Wind speed in m/s", wind.beaufort, 0, 60),
    ("Length of the sheet in m", lambda v: wind.sheet_force_n(8, v, 0.76), 0, 15),
    ("Width of the sheet in m", lambda v: wind.sheet_force_n(8, 6, v), 0, 2),
    ("Air temperature in degC", lambda v: heat.heat_index_c(v, 50), 20, 50),
    ("Air temperature in degF", lambda v: heat.heat_index_f(v, 50), 68, 122),
    ("Relative humidity in percent", lambda v: heat.heat_index_f(90, v), 0, 100),
    (
        "Wet bulb temperature in degC",
        lambda v: heat.wbgt_outdoors_degc(v, 30, 30),
        0,
        80,
    ),
    ("Globe temperature in degC", lambda v: heat.wbgt_outdoors_degc(30, v, 30), 0, 80),
    ("Air temperature in degC", lambda v: heat.wbgt_outdoors_degc(30, 30, v), 0, 80),
    (
        "Wet bulb globe temperature in degC",
        lambda v: heat.work_rest(v, Load.LIGHT, used_to_heat=True) or True,
        0,
        60,
    ),
    (
        "Metabolic rate in W",
        lambda v: heat.niosh_limit_degc(v, used_to_heat=True),
        115,
        600,
    ),
    ("UV index", uv.rounded, 0, 25),
    ("Hours", lambda v: air.average_8h([air.Breathed(1, v)]), 0, 24),
    ("Hours of a day", lambda v: air.average_8h([air.Breathed(1, v / 2)] * 2), 0, 24),
    ("Concentration", lambda v: air.average_8h([air.Breathed(v, 1)]), 0, 1e9),
    ("Concentration", lambda v: air.mixture([(v, 1)]), 0, 1e9),
    ("Limit", lambda v: air.mixture([(1, v)]), 1e-9, 1e9),
    ("Average in mg/m3", lambda v: air.past_half(v, 1) or True, 0, 1e6),
    ("Exposure standard in mg/m3", lambda v: air.past_half(0, v) or True, 1e-9, 1e6),
]


@pytest.mark.parametrize(("what", "call", "lowest", "highest"), RANGES, ids=count())
def test_a_range_has_both_its_ends_and_nothing_beyond(what, call, lowest, highest):
    assert call(lowest) is not None
    assert call(highest) is not None
    for beyond in (lowest - max(HAIR * abs(lowest), 1e-10), highest * (1 + HAIR)):
        with pytest.raises(OutOfRange):
            call(beyond)


@pytest.mark.parametrize(("what", "call", "lowest", "highest"), RANGES, ids=count())
def test_a_refusal_says_which_number_it_is_about(what, call, lowest, highest):
    of_a_day = what.endswith("day")  # too few are refused one by one
    for beyond in (highest * 1.01,) if of_a_day else (lowest - 1, highest * 1.01):
        with pytest.raises(OutOfRange) as refused:
            call(beyond)
        assert refused.value.what == what
        assert refused.value.value == pytest.approx(beyond)
        assert str(refused.value).startswith(f"{what} is {beyond:g}; the formula holds")
        assert f"from {lowest:g} to {highest:g}." in str(refused.value)


def test_no_class_of_protector_is_enough_from_110_decibels():
    assert noise.protector_class(110 - HAIR) == 5
    with pytest.raises(OutOfRange, match=r"^Daily noise exposure in dB\(A\) is 110;"):
        noise.protector_class(110)


def test_a_team_is_of_one_to_eight():
    assert lifting.share_of_team(60, 8) == pytest.approx(15)
    for people in (0, 9):
        with pytest.raises(OutOfRange, match=f"^People on the lift is {people};"):
            lifting.share_of_team(60, people)


def test_a_lift_is_refused_by_what_it_leaves_to_lift():
    hard = lift(reach_cm=63, twist_deg=135, height_cm=0, travel_cm=175)
    hard = replace(hard, per_minute=8, duration=Duration.LONG)
    assert 0 < lifting.recommended_weight(hard) < 1
    assert lifting.lifting_index(1, hard) > 1
    with pytest.raises(OutOfRange, match=r"^Recommended weight in kg is 0;"):
        lifting.lifting_index(1, lift(per_minute=13, height_cm=50))


@pytest.mark.parametrize(
    ("hours", "decibels"),
    [(0, 0), (9.99, 0), (10, 1), (13.99, 1), (14, 2), (19.99, 2), (20, 3), (24, 3)],
)
def test_long_shifts_add_a_whole_number_of_decibels(hours, decibels):
    # AS/NZS 1269.1, remembered
    assert noise.shift_adjustment_db(hours) == decibels


def test_no_noise_at_all_is_below_every_level():
    assert noise.lex_8h([]) == -inf
    assert noise.lex_8h([noise.Spell(90, 0)]) == -inf


@pytest.mark.parametrize(("level", "dose"), [(79.99, 0.0), (80.0, 25.0), (90.0, 100.0)])
def test_quiet_spells_do_not_count_towards_an_osha_dose(level, dose):
    assert noise.osha_dose([noise.Spell(level, 480)]) == pytest.approx(dose)


def test_a_spell_of_seconds_still_counts():
    assert noise.busiest_day([noise.Spell(110, 0.5)]) == (noise.Spell(110, 0.5),)
    assert vibration.busiest_day([vibration.Grip(12, 0.5)]) == (
        vibration.Grip(12, 0.5),
    )
    assert noise.busiest_day([noise.Spell(110, 0.0)]) == ()
    assert vibration.busiest_day([vibration.Grip(12, 0.0)]) == ()


@pytest.mark.parametrize(("people", "share_kg"), [(1, 60), (2, 45), (3, 40), (4, 30)])
def test_a_team_lifts_less_than_its_members_alone(people, share_kg):
    # HSE L23, two thirds for two people and half for more; remembered
    assert lifting.share_of_team(60, people) == pytest.approx(share_kg)


@pytest.mark.parametrize(
    ("hold", "low", "high"),
    [(Hold.GOOD, 1.0, 1.0), (Hold.FAIR, 0.95, 1.0), (Hold.POOR, 0.9, 0.9)],
)
def test_how_well_the_hands_hold(hold, low, high):
    assert lifting.multipliers(lift(hold=hold, height_cm=74.9))["CM"] == low
    assert lifting.multipliers(lift(hold=hold, height_cm=75))["CM"] == high


# Table 5, height below 75 cm, at 0.2, 0.5, 1, 2 ... lifts a minute; then at or above it
TABLE_5 = {
    Duration.SHORT: (
        "1 .97 .94 .91 .88 .84 .80 .75 .70 .60 .52 .45 .41 .37 0 0 0 0",
        "1 .97 .94 .91 .88 .84 .80 .75 .70 .60 .52 .45 .41 .37 .34 .31 .28 0",
    ),
    Duration.MODERATE: (
        ".95 .92 .88 .84 .79 .72 .60 .50 .42 .35 .30 .26 0 0 0 0 0 0",
        ".95 .92 .88 .84 .79 .72 .60 .50 .42 .35 .30 .26 .23 .21 0 0 0 0",
    ),
    Duration.LONG: (
        ".85 .81 .75 .65 .55 .45 .35 .27 .22 .18 0 0 0 0 0 0 0 0",
        ".85 .81 .75 .65 .55 .45 .35 .27 .22 .18 .15 .13 0 0 0 0 0 0",
    ),
}


@pytest.mark.parametrize("duration", list(Duration))
@pytest.mark.parametrize("column", [0, 1])
def test_every_cell_of_the_frequency_table(duration, column):
    rates = [0.2, 0.5, *range(1, 17)]
    printed = [float(cell) for cell in TABLE_5[duration][column].split()]
    height = (50, 80)[column]
    found = [
        lifting.frequency_multiplier(
            lift(per_minute=rate, duration=duration, height_cm=height)
        )
        for rate in rates
    ]
    assert found == printed


def test_the_height_of_75_centimetres_counts_as_high():
    fast = {"per_minute": 13, "duration": Duration.SHORT}
    assert lifting.frequency_multiplier(lift(height_cm=75, **fast)) == 0.34
    assert lifting.frequency_multiplier(lift(height_cm=74.9, **fast)) == 0.0


def test_a_composite_index_takes_one_to_ten_lifts_within_the_table():
    def lifts(number, rate):
        return [lifting.TaskLift(lift(per_minute=rate, height_cm=80), 5.0)] * number

    assert lifting.composite_index(lifts(1, 0.2)) == pytest.approx(5 / (23 * 0.985))
    assert lifting.composite_index(lifts(10, 0.3)) > 5 / 23
    with pytest.raises(OutOfRange, match=r"^Number of lifts is 11;"):
        lifting.composite_index(lifts(11, 0.3))
    says = "Lifts a minute together is 16; the formula holds from 0 to 15."
    with pytest.raises(OutOfRange, match=f"^{says}$"):
        lifting.composite_index(lifts(2, 8))


def test_lifts_of_different_rates_add_up_by_the_table():
    # manual, 2.4.5: 10 kg once a minute, then 5 kg at two more a minute; all at 75 cm
    heavy = lifting.TaskLift(lift(per_minute=1), 10.0)
    light = lifting.TaskLift(lift(per_minute=2), 5.0)
    alone = 10 / (23 * 0.94)
    more = 5 / 23 * (1 / 0.88 - 1 / 0.94)  # three lifts a minute less one
    for order in ([heavy, light], [light, heavy]):
        assert lifting.composite_index(order) == pytest.approx(alone + more)


@pytest.mark.parametrize(
    ("rate", "multiplier"),
    [(0.35, 0.985), (0.75, 0.955), (2.5, 0.895), (12.25, 0.3625)],
)
def test_between_rates_of_the_table_the_line_is_straight(rate, multiplier):
    found = lifting.frequency_multiplier(lift(per_minute=rate))
    assert found == pytest.approx(multiplier)


def test_where_a_lift_begins_decides_how_often_it_may_be_done():
    fast = {"per_minute": 13, "duration": Duration.SHORT}
    up = lift(height_cm=120, origin_height_cm=50, **fast)
    assert lifting.frequency_multiplier(up) == 0.0
    assert lifting.frequency_multiplier(replace(up, origin_height_cm=None)) == 0.34


def test_the_multipliers_go_by_the_names_of_the_manual():
    far = lift(reach_cm=50, height_cm=100, travel_cm=45, twist_deg=50, per_minute=1)
    found = lifting.multipliers(replace(far, hold=Hold.POOR))
    assert dict(found) == pytest.approx(
        {"HM": 0.5, "VM": 0.925, "DM": 0.92, "AM": 0.84, "FM": 0.94, "CM": 0.9}
    )


def test_a_busiest_day_is_filled_from_the_strongest_down():
    grips = [vibration.Grip(2, 400), vibration.Grip(9, 300)]
    assert vibration.busiest_day(grips) == (
        vibration.Grip(9, 300),
        vibration.Grip(2, 180),
    )


def test_every_force_of_the_beaufort_scale_begins_where_it_is_printed():
    printed = (0.0, 0.3, 1.6, 3.4, 5.5, 8.0, 10.8, 13.9, 17.2, 20.8, 24.5, 28.5, 32.7)
    for force, speed in enumerate(printed):
        assert wind.beaufort(speed) == force
        assert force == 0 or wind.beaufort(speed - 0.1) == force - 1
    assert (wind.beaufort(5.44), wind.beaufort(5.46)) == (3, 4)  # read to a tenth


LIMITS = {
    True: {
        Load.LIGHT: (31.0, 31.0, 32.0, 32.5),
        Load.MODERATE: (28.0, 29.0, 30.0, 31.5),
        Load.HEAVY: (None, 27.5, 29.0, 30.5),
        Load.VERY_HEAVY: (None, None, 28.0, 30.0),
    },
    False: {
        Load.LIGHT: (28.0, 28.5, 29.5, 30.0),
        Load.MODERATE: (25.0, 26.0, 27.0, 29.0),
        Load.HEAVY: (None, 24.0, 25.5, 28.0),
        Load.VERY_HEAVY: (None, None, 24.5, 27.0),
    },
}


@pytest.mark.parametrize("used", [True, False])
@pytest.mark.parametrize("load", list(Load))
def test_every_cell_of_the_work_rest_table(used, load):
    # ACGIH screening values, remembered
    shares = ((75, 100), (50, 75), (25, 50), (0, 25))
    for share, limit in zip(shares, LIMITS[used][load], strict=True):
        if limit is None:
            continue
        at_limit = heat.work_rest(limit, load, used_to_heat=used)
        past_it = heat.work_rest(limit + HAIR, load, used_to_heat=used)
        assert at_limit is not None
        assert at_limit.most_pct >= share[1]
        assert past_it is None or past_it.most_pct < share[1] or limit == 31.0


@pytest.mark.parametrize(
    ("air_f", "humidity", "index"),
    [(70, 40, 68.58), (75, 50, 74.55), (79, 30, 78.01)],
)
def test_below_eighty_the_simple_formula_stands(air_f, humidity, index):
    # 0.5 (T + 61 + (T - 68) 1.2 + 0.094 RH); formula read, worked by hand
    assert heat.heat_index_f(air_f, humidity) == pytest.approx(index, abs=0.01)


@pytest.mark.parametrize(
    ("air_f", "humidity", "change"),
    [
        (95, 5, -2.0),
        (95, 12.99, -0.0025),
        (112, 9, 0.0),
        (80, 95, 1.4),
        (87, 95, 0.0),
        (83.5, 90, 0.35),
        (95, 13, 0.0),
        (95, 13.9, 0.0),
        (80.9, 12, -0.1025),
        (112.5, 5, 0.0),
        (82, 85.9, 0.09),
        (87.01, 95, 0.0),
    ],
)
def test_very_dry_and_very_damp_air_are_corrected(air_f, humidity, change):
    # ((13-RH)/4) sqrt((17-|T-95|)/17) off, ((RH-85)/10)((87-T)/5) on; formula read
    plain = heat.heat_index_f(air_f, humidity, adjusted=False)
    found = heat.heat_index_f(air_f, humidity) - plain
    assert found == pytest.approx(change, abs=1e-3)


def test_celsius_in_gives_celsius_out():
    # 90 F and 70 % are 105.92 F by the regression: 32.2 and 41.1 degrees Celsius
    assert heat.heat_index_c((90 - 32) * 5 / 9, 70) == pytest.approx(41.07, abs=0.01)
