"""The table of noise and vibration in a day: what it tells, and what it leaves out."""

import json
from dataclasses import replace
from datetime import date

import pytest

from jobs.domain.facts import ToolUse
from safety.domain.day_table import MOST_DAYS, day_table, higher_than, planned_table
from safety.domain.exposures.days import (
    BookedVisit,
    Hours,
    Room,
    booked_days,
    planned_days,
)
from safety.domain.exposures.tasks import Measured
from safety.domain.statement_digest import digest
from tests.safety.domain.contents import content
from tests.safety.domain.jobs import job, task
from tests.safety.domain.rules import rule_book

ON = date(2026, 8, 10)


def step(kind, position, *uses, minutes=200.0, **changes):
    tools = tuple(ToolUse(*use) for use in uses)
    values = {"person_minutes": minutes, "tools": tools, **changes}
    return task(kind, position=position, **values)


GRIND = step("cut_steel", 1, ("angle_grinder", 12.0))
DRILL = step("drill_slab", 2, ("rotary_hammer", 20.0))
SCREW = step("lay_sheets", 3, ("screw_gun", 20.0), minutes=900.0)
TIDY = step("handover", 4)


def table(*tasks, place="au-nsw", **bench):
    book = rule_book(place)
    changed = replace(book.bench, **bench)
    return planned_table(job(*tasks), changed, book.pack, ON)


def test_a_day_tells_both_ways_of_running_its_tools():
    found = table(GRIND, DRILL)
    (row,) = found["rows"]
    assert row["name"] == "Day 1"
    assert row["worst"] == "most noise and vibration"
    assert row["steps"] == ["2. Drill slab", "1. Cut steel"]
    assert row["numbers"] == [1, 2]
    one, even = row["cases"]
    # 12 min at 100 dB(A) and 20 min at 102; 12 min at 7 m/s2 and 20 at 9, by hand
    assert one == {
        "who": "one person on every tool",
        "noise": "89.6",
        "dose": "288 %",
        "osha_dose": "",
        "protector": "class 1",
        "at_ear": "80",
        "a8": "2.1",
        "points": "74",
        "to_action": "9 min",
        "to_limit": "2 h 00 min",
        "passed": ["85 dB(A)"],
    }
    assert even["who"] == "shared by 2"
    assert (even["noise"], even["points"]) == ("86.6", "37")
    assert found["figures"] == "typical figures"
    assert not found["booked"]


def test_days_below_every_value_are_one_sentence():
    found = table(GRIND, DRILL, SCREW, TIDY)
    assert [row["name"] for row in found["rows"]] == ["Day 1"]
    assert found["rest"] == ["Day 2 is below every value."]


def test_of_many_days_the_worst_are_told_in_full_and_the_rest_are_named():
    tasks = [
        step("cut_steel", n, ("circular_saw", 10.0 + n), minutes=900.0, key=f"s{n}")
        for n in range(1, MOST_DAYS + 3)
    ]
    found = table(*tasks)
    assert [row["name"] for row in found["rows"]] == [
        "Day 3",
        "Day 4",
        "Day 5",
        "Day 6",
    ]
    assert [row["worst"] for row in found["rows"]] == [
        *("", "", ""),
        "most noise and vibration",
    ]
    assert found["rest"] == ["Days 1 and 2 are also past a value, but by less."]


def test_the_day_with_most_vibration_is_told_beside_the_loudest():
    saw = step("cut_timber", 1, ("circular_saw", 20.0), minutes=900.0)
    bolts = step("fix_brackets", 2, ("impact_wrench", 25.0), minutes=900.0)
    rows = table(saw, bolts)["rows"]
    assert [row["worst"] for row in rows] == ["most noise", "most vibration"]


def test_a_job_without_noise_or_vibration_has_no_table():
    assert table(TIDY) is None


def test_the_worst_day_is_told_even_when_it_passes_nothing():
    (row,) = table(SCREW, TIDY)["rows"]
    assert [case["passed"] for case in row["cases"]] == [[], []]


def test_a_day_without_vibration_has_dashes():
    own = Measured({"own": 95.0}, {})
    (row,) = table(step("cut_steel", 1, ("own", 60.0)), measured=own)["rows"]
    one, _ = row["cases"]
    assert (one["a8"], one["points"], one["to_action"]) == ("–", "–", "–")


@pytest.mark.parametrize(
    ("measured", "says"),
    [
        ({"angle_grinder": 92.0, "rotary_hammer": 95.0}, "figures of our own tools"),
        ({"angle_grinder": 92.0}, "some typical figures"),
    ],
)
def test_it_says_whose_figures_they_are(measured, says):
    assert table(GRIND, DRILL, measured=Measured(measured, {}))["figures"] == says


def test_british_values_and_no_number_where_no_method_may_be_cited():
    found = table(GRIND, DRILL, place="uk")
    one, even = found["rows"][0]["cases"]
    assert one["protector"] == "by its maker's figures"
    assert one["at_ear"] == ""
    assert one["passed"] == ["80 dB(A)", "85 dB(A)", "87 dB(A)"]
    assert even["passed"] == ["80 dB(A)", "85 dB(A)"]
    assert [rule["value"] for rule in found["rules"]] == [
        "at least 80 dB(A)",
        "at least 85 dB(A)",
        "more than 87 dB(A)",
        "at least 2.5 m/s²",
        "more than 5 m/s²",
    ]
    assert found["methods"] == []


def test_american_dose_and_rating():
    found = table(GRIND, DRILL, place="us")
    one, _ = found["rows"][0]["cases"]
    # 100 (12/120 + 20/91), 29 CFR 1910.95 App A
    assert one["osha_dose"] == "32 %"
    assert one["protector"] == "NRR 17"
    assert one["passed"] == ["85 dB(A)"]


def test_above_what_a_class_reaches_there_is_no_number():
    own = Measured({"own": 120.0}, {})
    (row,) = table(step("cut_steel", 1, ("own", 120.0)), measured=own)["rows"]
    one = row["cases"][0]
    assert one["protector"] == "no class is enough: ask a specialist"
    assert one["at_ear"] == ""
    found = table(step("cut_steel", 1, ("own", 120.0)), measured=own, place="us")
    one = found["rows"][0]["cases"][0]
    assert one["protector"] == "one is not enough: ask a specialist"
    assert one["at_ear"] == ""


def test_a_long_shift_is_counted_in_the_level():
    usual = table(GRIND, DRILL)
    long = table(GRIND, DRILL, hours=Hours(450.0, 10.0))
    levels = [one["rows"][0]["cases"][0]["noise"] for one in (usual, long)]
    assert levels == ["89.6", "90.6"]
    assert "10 hours or more" not in usual["methods"][-1]["says"]
    assert "10 hours or more" in long["methods"][-1]["says"]


def test_booked_days_have_their_date_and_follow_its_law():
    book = rule_book("au-nsw")
    rooms = (Room(450.0, 3, ON),)
    visit = BookedVisit(frozenset({"cut_steel", "drill_slab"}), rooms)
    days = booked_days((GRIND, DRILL), [visit])
    found = day_table(days, book.bench, book.pack, ON)
    assert found is not None
    assert found["booked"]
    (row,) = found["rows"]
    assert (row["on"], row["people"]) == ("2026-08-10", 3)
    assert row["cases"][1]["who"] == "shared by 3"


def test_it_is_said_when_bookings_make_a_day_worse():
    bench = rule_book().bench
    apart = (GRIND, replace(DRILL, after=("cut_steel",), wait_hours=24.0))
    planned = planned_days(apart)
    keys = frozenset({"cut_steel", "drill_slab"})
    visit = BookedVisit(keys, (Room(450.0, 2, ON),))
    booked = booked_days(apart, [visit])
    says = higher_than(planned, booked, bench)
    assert says == (
        "As booked, one person could get 90 dB(A), and the plan counts with 88; "
        "A(8) 2.1 m/s², and the plan counts with 1.8."
    )
    assert higher_than(planned, planned, bench) == ""
    assert higher_than(booked, planned, bench) == ""


def test_the_table_is_plain_data_outside_of_what_people_sign():
    found = table(GRIND, DRILL)
    assert json.loads(json.dumps(found)) == found
    kept = content()
    assert digest(kept | {"days": found}) == digest(kept)
