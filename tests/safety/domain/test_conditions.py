"""Conditions: outcomes, unknown facts, pack limits, and mistakes in their files."""

from datetime import date

import pytest

from jobs.domain.yaml_lines import LibraryError, parse_yaml
from safety.domain.condition_files import falls_as_it_worsens, parse_condition
from safety.domain.conditions import Facts, Setting, judge, outcome_of
from safety.domain.traces import Outcome, deciding
from tests.safety.domain.rules import packs, words

YES, NO, UNKNOWN = Outcome.YES, Outcome.NO, Outcome.UNKNOWN
FACTS: Facts = {
    "task.kind": "lay_sheets",
    "task.work_height_m": 2.7,
    "task.tools": frozenset({"screw_gun", "ladder"}),
    "site.existing_roof": "fibre_cement",
    "site.building_year": None,
    "site.overhead_line": True,
    "site.overhead_line_distance_m": None,
    "site.near_traffic": False,
}


def read(text):
    return parse_condition(parse_yaml(text, filename="c.yaml"), words())


def outcome(text, facts=FACTS, place="au-nsw", on=date(2026, 8, 3)):
    setting = Setting(facts, packs()[place], on)
    found = judge(read(text), setting).outcome
    assert outcome_of(read(text), setting) is found
    return found


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("{task: [lay_sheets]}", YES),
        ("{task: [cut_steel]}", NO),
        ("{tool: [ladder]}", YES),
        ("{tool: [angle_grinder]}", NO),
        ("{fact: task.work_height_m, more_than: 2.7}", NO),
        ("{fact: task.work_height_m, at_least: 2.7}", YES),
        ("{fact: task.work_height_m, less_than: 2.7}", NO),
        ("{fact: task.work_height_m, at_most: 2.7}", YES),
        ("{fact: task.work_height_m, past: falls.statement_height}", YES),
        ("{fact: site.existing_roof, in: [fibre_cement, other]}", YES),
        ("{fact: site.near_traffic, is: true}", NO),
        ("{fact: site.building_year, unknown: true}", YES),
        ("{fact: site.overhead_line, unknown: true}", NO),
        ("{place: [au]}", YES),
        ("{place: [au-qld]}", NO),
        ("{rule: hours.construction}", YES),
        ("{rule: statement.lists_considered}", NO),
    ],
)
def test_what_a_condition_comes_to(text, expected):
    assert outcome(text) is expected


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("{fact: site.building_year, less_than: 1990}", UNKNOWN),
        ("{fact: site.building_year, past: asbestos.presumed_before}", UNKNOWN),
        ("{not: {fact: site.building_year, less_than: 1990}}", UNKNOWN),
        ("{fact: site.building_year, less_than: 1990, if_unknown: fails}", NO),
        ("{fact: site.building_year, less_than: 1990, if_unknown: holds}", YES),
        (
            "{all: [{task: [lay_sheets]}, {fact: site.building_year, at_most: 1}]}",
            UNKNOWN,
        ),
        ("{all: [{task: [cut_steel]}, {fact: site.building_year, at_most: 1}]}", NO),
        ("{any: [{task: [lay_sheets]}, {fact: site.building_year, at_most: 1}]}", YES),
        (
            "{any: [{task: [cut_steel]}, {fact: site.building_year, at_most: 1}]}",
            UNKNOWN,
        ),
    ],
)
def test_what_nobody_has_found_out_stays_open_unless_the_rest_decides(text, expected):
    assert outcome(text) is expected


def test_an_open_outcome_bites():
    assert UNKNOWN.bites
    assert not NO.bites


def test_a_limit_brings_its_edge_date_and_source_with_it():
    rule = "{fact: task.work_height_m, past: falls.statement_height}"
    low = {**FACTS, "task.work_height_m": 2.5}
    assert outcome(rule, low, "au-sa", date(2026, 6, 30)) is NO
    trace = judge(read(rule), Setting(low, packs()["au-sa"], date(2026, 7, 1)))
    assert trace.outcome is YES
    assert trace.found == "Height worked at: 2.5 m, more than 2 m."
    assert trace.otherwise == "Height worked at: at most 2 m."
    assert "WHS Regulations 2012 (SA) r 291" in trace.cite


def test_a_place_without_the_limit_does_not_bite():
    rule = "{fact: task.work_height_m, past: falls.second_tier_other}"
    assert outcome(rule, place="au-qld") is YES
    assert outcome(rule, place="au-nsw") is NO


def test_a_quantity_the_take_off_does_not_have_is_none_of_it():
    assert outcome("{fact: quantities.footing_count, more_than: 0}") is NO


def test_only_the_branch_that_decided_is_told():
    rule = """
    any:
      - {fact: site.existing_roof, in: [fibre_cement]}
      - all:
          - {fact: site.overhead_line, is: true}
          - {task: [cut_steel]}
    """
    trace = judge(read(rule), Setting(FACTS, packs()["au-nsw"], date(2026, 8, 3)))
    assert [leaf.fact for leaf in deciding(trace)] == ["site.existing_roof"]


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("{fact: site.bulding_year, is: 2}", 'Did you mean "site.building_year"'),
        ("{fact: quantities.nails, more_than: 2}", 'no fact "quantities.nails"'),
        ("{fact: task.work_height_m}", "exactly one of"),
        ("{fact: task.work_height_m, more_than: 1, at_most: 2}", "exactly one of"),
        ("{fact: task.work_height_m, more_than: tall}", "expected a number"),
        ("{fact: task.work_height_m, past: falls.nowhere}", "value in any pack"),
        ("{fact: task.work_height_m, past: falls.duty}", "has no edge"),
        ("{fact: task.work_height_m, above: 2}", 'the key "above" is not known'),
        ("{task: [lay_sheet]}", 'Did you mean "lay_sheets"'),
        ("{tool: [axe]}", 'no tool "axe"'),
        ("{place: [atlantis]}", 'no place "atlantis"'),
        ("{all: []}", "at least one condition"),
        ("{every: []}", "a condition starts with one of"),
        ("{fact: site.building_year, unknown: false}", "unknown: true"),
        ("{fact: task.kind, is: lay_sheets, if_unknown: maybe}", 'no answer "maybe"'),
        ("[1, 2]", "expected a mapping"),
    ],
)
def test_a_mistake_in_a_condition_names_its_line(text, says):
    with pytest.raises(LibraryError, match=r"c\.yaml, line 1:") as caught:
        read(text)
    assert says in str(caught.value)


@pytest.mark.parametrize(
    ("text", "falls"),
    [
        ("{fact: task.work_height_m, more_than: 2}", False),
        ("{fact: task.work_height_m, less_than: 2}", True),
        ("{not: {fact: task.work_height_m, more_than: 2}}", True),
        ("{not: {fact: task.work_height_m, at_most: 2}}", False),
        ("{fact: site.overhead_line_distance_m, at_most: 3}", False),
        ("{fact: site.overhead_line_distance_m, more_than: 3}", True),
        ("{fact: task.work_height_m, past: falls.statement_height}", False),
        ("{not: {fact: task.work_height_m, past: falls.statement_height}}", True),
        ("{any: [{task: [set_out]}, {fact: task.tool_minutes, at_most: 9}]}", True),
        ("{fact: site.building_year, less_than: 1990}", False),
    ],
)
def test_a_condition_that_things_getting_worse_would_switch_off_is_found(text, falls):
    assert bool(falls_as_it_worsens(read(text), words().pack_edges)) is falls
