"""What a statement says, the digest people sign, and what changed between versions."""

import hashlib
import json
from dataclasses import replace
from datetime import date

import pytest
import rfc8785
from hypothesis import given, settings
from hypothesis import strategies as st

from safety.domain.engine import hazard_plan
from safety.domain.overrides import Action, Override, apply_overrides
from safety.domain.statement import (
    OUTSIDE_DIGEST,
    StatementHeader,
    digest,
    line_contents,
    statement_content,
    values_to_check,
)
from safety.domain.statement_diff import Kind, differences
from tests.safety.domain.jobs import PATIO, PATIO_TASKS, job
from tests.safety.domain.rules import rule_book

ON = date(2026, 8, 10)
HEADER = StatementHeader(
    job="J-014",
    site="3 Wattle Court, Testfield",
    structure="Attached flat roof, 6 m along by 4 m out",
    firm="Testfield Patios",
    responsible="Sal Lead",
    contacts={"Sal Lead": "02 5550 0101"},
    print={"prepared by": "Oscar Office"},
)


def content(facts=PATIO, header=HEADER, on=ON, overrides=()):
    rules = rule_book()
    plan = hazard_plan(facts, rules, on)
    plan = apply_overrides(plan, overrides, rules.risk.matrix)
    return statement_content(plan, header, rules.pack, rules.risk.matrix)


def test_steps_are_in_the_order_of_the_work():
    positions = [step["position"] for step in content()["steps"]]
    assert positions == sorted(positions)
    assert content()["steps"][0]["whole_job"]


def test_the_four_contents_that_the_law_asks_for_are_there():
    found = content()
    assert [row["key"] for row in found["required_contents"]] == ["a", "b", "c", "d"]
    assert found["categories"][0]["says"].startswith("A person could fall")
    for line in line_contents(found):
        assert line["name"]
        assert line["initial"]["words"]
        assert all(control["text"] for control in line["controls"])
        assert all(control["check"] for control in line["controls"])


def test_it_does_not_call_the_score_a_legal_requirement():
    assert "No law asks for a risk score" in content()["risk_method"]["says"]


def test_it_is_plain_data_that_survives_the_trip_through_json():
    found = content()
    assert json.loads(json.dumps(found)) == found


def test_the_digest_is_sha_256_over_canonical_json():
    found = content()
    kept = {k: v for k, v in found.items() if k not in OUTSIDE_DIGEST}
    assert digest(found) == hashlib.sha256(rfc8785.dumps(kept)).hexdigest()


def test_the_same_job_twice_gives_the_same_digest():
    assert digest(content()) == digest(content())


def test_a_corrected_phone_number_asks_nobody_to_sign_again():
    header = replace(HEADER, contacts={"Sal Lead": "02 5550 0102"}, print={})
    later = content(header=header, on=date(2026, 8, 12))
    assert digest(later) == digest(content())
    found = differences(content(), later)
    assert found
    assert not any(difference.signs_again for difference in found)


def test_a_new_fall_edge_asks_everybody_to_sign_again():
    tasks = [
        replace(t, work_height_m=2.9) if t.work_height_m else t for t in PATIO_TASKS
    ]
    assert digest(content(job(*tasks))) != digest(content())


@pytest.mark.parametrize(
    "header",
    [
        replace(HEADER, site="5 Wattle Court, Testfield"),
        replace(HEADER, responsible="Lou Lead"),
        replace(HEADER, circumstances=("A trench is open next door.",)),
    ],
)
def test_what_a_person_signs_on_to_is_under_the_digest(header):
    assert digest(content(header=header)) != digest(content())


@settings(max_examples=20, deadline=None)
@given(height=st.floats(0.6, 4.0), minutes=st.floats(1, 400))
def test_the_same_facts_give_the_same_digest(height, minutes):
    tasks = [
        replace(t, work_height_m=height, person_minutes=minutes) for t in PATIO_TASKS
    ]
    assert digest(content(job(*tasks))) == digest(content(job(*tasks)))


def test_nothing_changed_reads_as_nothing():
    assert differences(content(), content()) == ()


def test_a_difference_says_what_was_and_what_is():
    tasks = [
        replace(t, work_height_m=2.9) if t.kind == "lay_sheets" else t
        for t in PATIO_TASKS
    ]
    found = differences(content(), content(job(*tasks)))
    says = [
        d.says for d in found if d.where.startswith("Lay sheets: Falling from 2.9 m")
    ]
    assert any("was “Falling from 2.7 m" in text for text in says)
    assert all(
        d.kind is Kind.CHANGED for d in found if d.where.startswith("Lay sheets")
    )


def test_a_removed_and_an_added_line_are_told_with_their_reasons():
    away = Override(
        Action.REMOVE, "lay_sheets/fall_from_ladder", "A stair tower is used."
    )
    without = content(overrides=[away])
    (gone,) = [d for d in differences(content(), without) if d.kind is Kind.REMOVED]
    assert gone.says == "A stair tower is used."
    (back,) = [d for d in differences(without, content()) if d.kind is Kind.ADDED]
    assert "uses a ladder" in back.says


def test_a_removed_line_is_in_the_content_with_its_label():
    away = Override(
        Action.REMOVE, "lay_sheets/fall_from_ladder", "A stair tower is used."
    )
    (gone,) = content(overrides=[away])["removed"]
    assert gone["basis"] == "law"
    assert gone["reason"] == "A stair tower is used."


def test_a_new_order_of_steps_is_a_difference():
    turned = [replace(t, position=20 - t.position) for t in PATIO_TASKS]
    found = differences(content(), content(job(*turned)))
    assert "Order of the work" in {difference.where for difference in found}


def test_a_later_line_points_to_the_same_controls():
    found = {line["key"]: line for line in line_contents(content())}
    assert found["fix_brackets/fall_from_ladder"]["same_controls_as"] == (
        "remove_existing/fall_from_ladder"
    )
    assert found["remove_existing/fall_from_ladder"]["same_controls_as"] == ""


def test_what_nobody_has_read_is_listed_for_the_print():
    rows = values_to_check(rule_book().pack.in_force(ON))
    assert rows
    assert all("check before relying on it" in row for row in rows)
