import json
from dataclasses import replace

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from jobs.domain.dimensions import Structure
from jobs.domain.durations import (
    elapsed_half_days,
    elapsed_minutes,
    person_minutes,
)
from jobs.domain.facts import digest, facts_of, from_json, to_json
from jobs.domain.methods import Lifting, LiftSpec, Link, TaskSpec, ToolSpec
from jobs.domain.takeoff import take_off

FLAT = Structure.ATTACHED_FLAT
SHEETS = TaskSpec(
    key="lay_sheets",
    kind="lay_sheets",
    name="Lay sheets",
    links=(Link("drill"),),
    per="sheet_count",
    minutes_per_unit=20.0,
    setup_minutes=40.0,
    crew_min=2,
    crew_max=4,
    at_height="height_ridge",
    tools=(
        ToolSpec("screw_gun", "roof_screw_count", 0.1),
        ToolSpec("screw_gun", "job", 5.0),
    ),
    lifts=(LiftSpec("sheet", 2, Lifting.BY_HAND),),
)
DRILL = TaskSpec("drill", "drill_slab", "Drill", (), "slab_hole_count", 8.0)
DIG = replace(DRILL, key="dig", name="Dig", only_if="footing_count")
TASKS = (DIG, DRILL, SHEETS)


@pytest.fixture
def facts(ordinary, site, taken_off, sections):
    return facts_of(FLAT, ordinary[FLAT], site, TASKS, taken_off[FLAT], sections)


def test_quantities_tools_and_lifts_of_a_task_are_worked_out(facts):
    sheets = facts.tasks[-1]
    assert (sheets.quantity, sheets.quantity_unit) == (8.0, "each")
    assert sheets.person_minutes == 40 + 8 * 20
    assert [(t.tool, t.minutes) for t in sheets.tools] == [("screw_gun", 24.2)]
    (lift,) = sheets.lifts
    assert (lift.count, lift.people, lift.how) == (8, 2, "by_hand")
    assert lift.mass_kg == pytest.approx(4.4 * 0.76 * 4.005, abs=0.01)
    assert lift.to_height_m == pytest.approx(sheets.work_height_m, abs=0.001)


def test_tasks_not_called_for_are_left_out(facts):
    assert [(t.key, t.position) for t in facts.tasks] == [
        ("drill", 1),
        ("lay_sheets", 2),
    ]


def test_facts_come_back_from_json(facts):
    assert from_json(json.loads(json.dumps(to_json(facts)))) == facts


def test_a_wait_is_written_down_only_where_there_is_one(facts):
    first, *rest = facts.tasks
    cured = replace(facts, tasks=(replace(first, wait_hours=24.0), *rest))
    plain = to_json(cured)["tasks"]
    assert plain[0]["wait_hours"] == 24.0
    assert not any("wait_hours" in task for task in plain[1:])
    assert from_json(json.loads(json.dumps(to_json(cured)))) == cured
    assert digest(cured) != digest(facts)


def test_the_longest_of_several_waits_counts(ordinary, site, sections):
    task = replace(
        TASKS[0], links=(Link("a", 24.0), Link("b", 168.0), Link("c")), only_if=""
    )
    taken = take_off(FLAT, ordinary[FLAT], site, sections)
    found = facts_of(FLAT, ordinary[FLAT], site, (task,), taken, sections)
    assert found.tasks[0].wait_hours == 168.0


def test_the_same_job_twice_has_the_same_digest(facts, ordinary, site, sections):
    again = take_off(FLAT, ordinary[FLAT], site, sections)
    twin = facts_of(FLAT, ordinary[FLAT], site, TASKS, again, sections)
    assert digest(twin) == digest(facts)
    assert digest(from_json(json.loads(json.dumps(to_json(facts))))) == digest(facts)


def test_whole_numbers_and_decimals_of_one_value_hash_alike(
    facts, ordinary, site, taken_off, sections
):
    typed = replace(ordinary[FLAT], length_m=6, projection_m=4)
    twin = facts_of(FLAT, typed, site, TASKS, taken_off[FLAT], sections)
    assert digest(twin) == digest(facts)


@pytest.mark.parametrize(
    "change", [{"length_m": 6.001}, {"on_footings": True}, {"frame": "timber"}]
)
def test_another_dimension_is_another_digest(change, facts, ordinary, site, sections):
    dims = replace(ordinary[FLAT], **change)
    taken = take_off(FLAT, dims, site, sections)
    assert digest(facts_of(FLAT, dims, site, TASKS, taken, sections)) != digest(facts)


@settings(suppress_health_check=[HealthCheck.function_scoped_fixture], max_examples=40)
@given(noise=st.floats(-4e-7, 4e-7))
def test_noise_below_the_precision_does_not_change_the_digest(
    noise, facts, ordinary, site, taken_off, sections
):
    dims = replace(ordinary[FLAT], length_m=6.0 + noise)
    twin = facts_of(FLAT, dims, site, TASKS, taken_off[FLAT], sections)
    assert digest(twin) == digest(facts)


def test_a_task_takes_setup_and_rate_times_quantity(taken_off):
    assert person_minutes(SHEETS, taken_off[FLAT]) == 200
    assert elapsed_minutes(SHEETS, taken_off[FLAT], 2) == 100


def test_more_people_than_have_room_do_not_help(taken_off):
    assert elapsed_minutes(SHEETS, taken_off[FLAT], 9) == 50


def test_too_few_people_may_not_do_it(taken_off):
    with pytest.raises(ValueError, match="at least 2 needed"):
        elapsed_minutes(SHEETS, taken_off[FLAT], 1)


@pytest.mark.parametrize(("people", "half_days"), [(2, 1), (4, 1)])
def test_a_run_of_tasks_is_rounded_up_once(taken_off, people, half_days):
    assert elapsed_half_days([DRILL, SHEETS], taken_off[FLAT], people) == half_days


def test_a_day_and_a_bit_is_three_half_days(taken_off):
    long = replace(SHEETS, setup_minutes=1000.0, minutes_per_unit=0.0)
    assert elapsed_half_days([long], taken_off[FLAT], 2) == 3
