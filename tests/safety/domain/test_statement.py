"""What a statement says, and what changed between two versions of it."""

import json
from dataclasses import replace

from safety.domain.overrides import Action, Override
from safety.domain.statement import line_contents
from safety.domain.statement_diff import Kind, differences
from tests.safety.domain.contents import content
from tests.safety.domain.jobs import PATIO_TASKS, job


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
