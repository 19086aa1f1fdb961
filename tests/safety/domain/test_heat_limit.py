"""The firm's heat limit held against a day."""

import re
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from safety.domain.exposures.heat import Clothing, Load
from safety.domain.heat_limit import (
    NO_LIMIT,
    TYPED_DEGC,
    HeatDay,
    HeatLimit,
    HeatRule,
    heat_limit,
    limit_faults,
    not_known,
    read_words,
    rests_words,
    too_hot,
)

AIR = HeatLimit(HeatRule.AIR, 35.0)
INDEX = HeatLimit(HeatRule.INDEX, 40.0)
WBGT = HeatLimit(HeatRule.WBGT, 30.0)
FIRST_REST = HeatLimit(HeatRule.FIRST_REST)
NO_WORK = HeatLimit(HeatRule.NO_WORK)
ALL = (
    AIR,
    INDEX,
    WBGT,
    FIRST_REST,
    NO_WORK,
    replace(NO_WORK, clothing=Clothing.DOUBLE),
)

airs = st.integers(150, 500).map(lambda tenths: tenths / 10)
damps = st.integers(0, 1000).map(lambda tenths: tenths / 10)
loads = st.sampled_from(Load)


def worked(day):
    """Minutes that each load is worked of an hour, as people read it."""
    found = []
    for line in rests_words(day, loads=tuple(Load)):
        minutes = re.search(r"at most (\d+) minutes", line)
        found.append(int(minutes[1]) if minutes else 60 if "no set" in line else 0)
    return found


@given(airs, airs, damps, damps, st.booleans())
def test_hotter_or_wetter_never_gives_more_work_time(air, other, damp, damper, new):
    cool = HeatDay(min(air, other), min(damp, damper), new_to_heat=new)
    hot = HeatDay(max(air, other), max(damp, damper), new_to_heat=new)
    # Out of range there are no minutes, and no go either: see the next test.
    pairs = zip(worked(cool), worked(hot), strict=False)
    assert all(less_hot >= hotter for less_hot, hotter in pairs)


@given(airs, airs, damps, damps, loads, st.sampled_from(ALL), st.booleans())
def test_what_stops_on_a_day_stops_on_a_hotter_or_wetter_one(
    air, other, damp, damper, load, limit, new
):
    cool = HeatDay(min(air, other), min(damp, damper), new_to_heat=new)
    hot = HeatDay(max(air, other), max(damp, damper), new_to_heat=new)
    assert too_hot(limit, hot, load) or not too_hot(limit, cool, load)


@given(airs, damps, loads, st.sampled_from(ALL))
def test_people_new_to_the_heat_never_work_longer(air, damp, load, limit):
    day = HeatDay(air, damp)
    newer = replace(day, new_to_heat=True)
    assert too_hot(limit, newer, load) or not too_hot(limit, day, load)


@pytest.mark.parametrize("limit", ALL)
def test_a_day_at_freezing_stops_nothing_and_asks_for_no_humidity(limit):
    day = HeatDay(air_degc=0.0)
    assert not_known(limit, day) == []
    assert not any(too_hot(limit, day, load) for load in Load)


def test_a_measured_value_takes_the_place_of_the_estimate():
    estimated = HeatDay(35, 40)
    shade = replace(estimated, measured_degc=26.0)
    assert too_hot(WBGT, estimated, Load.MODERATE)
    assert not too_hot(WBGT, shade, Load.MODERATE)
    assert estimated.wbgt_words == "32.6 °C, estimated, not measured"
    assert shade.wbgt_words == "26.0 °C, measured"


@pytest.mark.parametrize(
    ("limit", "at", "above"),
    [
        (AIR, HeatDay(35.0), HeatDay(35.1)),
        (WBGT, HeatDay(measured_degc=30.0), HeatDay(measured_degc=30.1)),
        (FIRST_REST, HeatDay(measured_degc=28.0), HeatDay(measured_degc=28.1)),
        (NO_WORK, HeatDay(measured_degc=31.5), HeatDay(measured_degc=31.6)),
    ],
)
def test_at_the_limit_work_goes_on(limit, at, above):
    assert not too_hot(limit, at, Load.MODERATE)
    assert too_hot(limit, above, Load.MODERATE)


def test_heavy_work_stops_before_moderate_work():
    day = HeatDay(measured_degc=31.0)
    assert too_hot(NO_WORK, day, Load.HEAVY)
    assert not too_hot(NO_WORK, day, Load.MODERATE)


def test_heavy_clothing_counts_as_hotter():
    day = HeatDay(measured_degc=30.0)
    sealed = replace(NO_WORK, clothing=Clothing.SEALED)
    assert not too_hot(NO_WORK, day, Load.MODERATE)
    assert too_hot(sealed, day, Load.MODERATE)
    assert "11 °C added" in sealed.says


@pytest.mark.parametrize(
    ("limit", "day", "asks"),
    [
        (AIR, HeatDay(), "today's highest temperature."),
        (INDEX, HeatDay(), "and the humidity at that hour."),
        (WBGT, HeatDay(), "or the WBGT where you measured it"),
        (WBGT, HeatDay(31.0), "humidity at 31 °C, or measure the WBGT"),
        (WBGT, HeatDay(40.0, 90.0), "and not of the morning"),
        (INDEX, HeatDay(51.0, 10.0), "No heat index can be worked out"),
    ],
)
def test_what_is_missing_is_asked_for(limit, day, asks):
    (words,) = not_known(limit, day)
    assert asks in words
    assert not_known(NO_LIMIT, day) == []


def test_a_reading_needs_neither_temperature_nor_humidity():
    assert not_known(NO_WORK, HeatDay(measured_degc=27.0)) == []


def test_hotter_than_the_formula_knows_counts_as_too_hot():
    assert too_hot(WBGT, HeatDay(51.0, 10.0), Load.LIGHT)


@pytest.mark.parametrize("rule", TYPED_DEGC)
def test_a_number_has_to_be_typed_and_to_be_likely(rule):
    lowest, highest = TYPED_DEGC[rule]
    assert limit_faults(HeatLimit(rule, lowest)) == []
    for value in (None, lowest - 1, highest + 1):
        assert limit_faults(HeatLimit(rule, value))


@pytest.mark.parametrize("limit", [NO_LIMIT, *ALL])
def test_a_limit_survives_being_kept(limit):
    assert heat_limit(limit.as_json()) == limit


def test_the_words_say_what_was_held_against_what():
    assert read_words(AIR, HeatDay(36.0)) == "36 °C"
    assert read_words(INDEX, HeatDay(36.0, 50.0)).startswith("A heat index of 4")
    assert AIR.says == "the air is above 35 °C"
    assert "28 °C for moderate work and 27.5 °C for heavy work" in FIRST_REST.says
    assert "new to the heat, above 25 °C for moderate work and 24 °C" in FIRST_REST.says


def test_minutes_of_work_and_rest():
    assert rests_words(HeatDay(measured_degc=29.0)) == [
        "Moderate work: at most 45 minutes of each hour, 15 minutes of rest",
        "Heavy work: at most 30 minutes of each hour, 30 minutes of rest",
    ]
    assert rests_words(HeatDay(measured_degc=33.0)) == [
        "Moderate work: none, by the work-rest table",
        "Heavy work: none, by the work-rest table",
    ]
    assert rests_words(HeatDay(measured_degc=20.0))[0] == "Moderate work: no set rest"
