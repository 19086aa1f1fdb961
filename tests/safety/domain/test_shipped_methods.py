"""The engine over every shipped method and a wide range of dimensions and sites."""

from dataclasses import replace
from datetime import date
from functools import cache

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from jobs.domain.dimensions import Dimensions, Frame, Structure
from jobs.domain.facts import facts_of
from jobs.domain.method_files import parse_method
from jobs.domain.sections import parse_sections
from jobs.domain.takeoff import take_off
from jobs.domain.ticket_kinds import parse_ticket_kinds
from safety.domain.engine import hazard_plan
from safety.domain.plan import WHOLE_JOB
from tests.safety.domain.jobs import SITE
from tests.safety.domain.rules import rule_book, task_kinds, text, tools

ON = date(2026, 11, 30)
STRUCTURES = list(Structure)


@cache
def sections():
    return parse_sections(text("sections.yaml"), filename="sections.yaml")


@cache
def method(structure):
    name = f"methods/{structure.value}.yaml"
    tickets = parse_ticket_kinds(text("ticket_kinds.yaml"), filename="tickets")
    words = {"kinds": task_kinds(), "tools": tools(), "ticket_kinds": tickets}
    return parse_method(text(name), filename=name, **words)


def dimensions(structure, length=6.0, projection=4.0, height=2.4, **changes):
    made = Dimensions(
        length_m=length,
        projection_m=projection,
        pitch_deg=20.0 if structure.has_gable else 3.0,
        clear_height_m=height,
    )
    if structure is Structure.FLAT_WITH_GABLE_BAY:
        bay = {"gable_bay_length_m": max(1.5, length / 3), "gable_bay_pitch_deg": 20.0}
        made = replace(made, pitch_deg=3.0, **bay)
    if structure is Structure.DECK_WITH_ROOF:
        made = replace(made, pitch_deg=3.0, deck_height_m=1.2, on_footings=True)
    return replace(made, **changes)


def facts(structure, dims, site=SITE):
    taken = take_off(structure, dims, site, sections())
    return facts_of(structure, dims, site, method(structure).tasks, taken, sections())


@pytest.mark.parametrize("structure", STRUCTURES)
def test_every_step_of_every_shipped_method_has_a_hazard_of_its_own(structure, nsw):
    found = hazard_plan(facts(structure, dimensions(structure)), nsw, ON)
    assert found.uncovered_tasks() == ()
    assert found.lines_of(WHOLE_JOB)


@pytest.mark.parametrize("structure", STRUCTURES)
def test_every_residual_of_an_ordinary_job_is_one_the_firm_works_at(structure, nsw):
    found = hazard_plan(facts(structure, dimensions(structure)), nsw, ON)
    matrix = nsw.risk.matrix
    assert [ln.key for ln in found.lines if not matrix.tolerates(ln.residual)] == []


@pytest.mark.parametrize("structure", STRUCTURES)
def test_no_sentence_of_an_ordinary_plan_has_an_empty_place(structure, nsw):
    found = hazard_plan(facts(structure, dimensions(structure)), nsw, ON)
    for line in found.lines:
        words = " ".join((line.name, line.why, *(c.text for c in line.controls)))
        for bad in ("{", "not known", "no figure", "None"):
            assert bad not in words, (line.key, bad, words)


@settings(max_examples=25, suppress_health_check=list(HealthCheck))
@given(
    structure=st.sampled_from(STRUCTURES),
    length=st.floats(3.0, 12.0),
    projection=st.floats(2.5, 6.0),
    height=st.floats(2.1, 3.2),
    frame=st.sampled_from(list(Frame)),
    place=st.sampled_from(["au-nsw", "au-qld", "au-vic", "au-sa"]),
)
def test_any_job_of_any_structure_is_covered(
    structure, length, projection, height, frame, place
):
    dims = dimensions(
        structure, round(length, 2), round(projection, 2), round(height, 2)
    )
    dims = replace(dims, frame=frame)
    found = hazard_plan(facts(structure, dims), rule_book(place), ON)
    assert found.uncovered_tasks() == ()
    for line in found.lines:
        assert line.residual.rank <= line.initial.rank
        assert line.controls


def test_the_shipped_flat_roof_is_high_risk_work_because_of_its_height(nsw):
    found = hazard_plan(
        facts(Structure.ATTACHED_FLAT, dimensions(Structure.ATTACHED_FLAT)), nsw, ON
    )
    letters = {category.key for category in found.categories if not category.undecided}
    assert "a" in letters
    assert found.duty.by_law
