"""Why a line is there, and what would make it go away."""

from dataclasses import replace
from datetime import date

from jobs.domain.facts import ToolUse
from safety.domain.engine import hazard_plan
from safety.domain.explain import explain
from tests.safety.domain.jobs import SITE, job, task
from tests.safety.domain.rules import rule_book

ON = date(2026, 8, 10)


def line_of(key, *tasks, site=SITE):
    return hazard_plan(job(*tasks, site=site), rule_book(), ON).line(key)


def test_a_line_names_the_fact_the_limit_and_the_source():
    step = task("drill_slab", tools=(ToolUse("rotary_hammer", 240.0),))
    told = explain(line_of("drill_slab/vibration", step))
    because, enough = told.because
    assert because.found.startswith(
        "Vibration for one person over the day: 6.4 m/s², more than 2.5"
    )
    assert enough.found == "Hand-arm vibration points: 648, at least 10."
    assert "Directive 2002/44/EC" in because.cite
    assert because.known


def test_any_one_part_of_a_rule_that_needs_all_parts_takes_it_away():
    site = replace(SITE, building_year=1975)
    told = explain(
        line_of("remove_existing/asbestos_eave", task("remove_existing"), site=site)
    )
    ways = [way.changes for way in told.ways_out]
    assert ("This kind of step is not part of the job.",) in ways
    assert ("Year the house was built: at least 1990.",) in ways


def test_every_part_of_a_rule_that_needs_one_must_go():
    site = replace(SITE, children_or_pets=True)
    told = explain(line_of("job/people_of_the_house", task("handover"), site=site))
    (way,) = told.ways_out
    assert len(way.changes) == 2


def test_an_unknown_fact_is_told_as_one():
    site = replace(SITE, building_year=None)
    told = explain(
        line_of("remove_existing/asbestos_eave", task("remove_existing"), site=site)
    )
    unknown = [because.found for because in told.because if not because.known]
    assert unknown == ["Nobody has found out yet: year the house was built."]


def test_a_way_out_really_takes_the_line_out():
    site = replace(SITE, neighbour_distance_m=2.0)
    line = line_of("job/neighbours", task("handover"), site=site)
    (way,) = explain(line).ways_out
    assert way.changes == ("Distance to the nearest boundary: more than 3 m.",)
    clear = replace(SITE, neighbour_distance_m=3.01)
    found = hazard_plan(job(task("handover"), site=clear), rule_book(), ON)
    assert all(other.key != line.key for other in found.lines)


def test_every_line_of_a_plan_can_be_explained(patio):
    for line in patio.lines:
        told = explain(line)
        assert told.because, line.key
        assert told.ways_out, line.key
        assert told.cite
