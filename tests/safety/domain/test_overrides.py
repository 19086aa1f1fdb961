"""A reviewer's changes: put on as data, each with a reason that prints."""

import pytest

from jobs.domain.refusals import Refused
from safety.domain.hierarchy import Level
from safety.domain.overrides import Action, Override, apply_overrides, stale_overrides
from tests.safety.domain.rules import risk_methods

MATRIX = risk_methods().chosen().matrix
FALL = "lay_sheets/fall_from_height"
WHY = "The owner's scaffold stays up for the whole job."


def change(action, line_key=FALL, reason=WHY, control_key="", **values):
    return Override(action, line_key, reason, "Robin Reviewer", control_key, values)


def apply(plan, *overrides):
    return apply_overrides(plan, overrides, MATRIX)


def test_an_edited_text_keeps_what_it_was_and_why(patio):
    before = patio.line(FALL).name
    line = apply(patio, change(Action.EDIT, name="Falling off the scaffold")).line(FALL)
    assert line.name == "Falling off the scaffold"
    (mark,) = line.changes
    assert f'name was "{before}"' in mark.what
    assert (mark.reason, mark.by) == (WHY, "Robin Reviewer")


def test_a_rating_can_be_lowered_and_prints_the_old_one(patio):
    line = apply(patio, change(Action.RATE, residual_consequence=3)).line(FALL)
    assert line.residual.consequence == 3
    assert "rating was likely, major: High before controls" in line.changes[0].what


@pytest.mark.parametrize(
    "values",
    [
        {"residual_likelihood": 5},
        {"initial_likelihood": 1},
        {"residual_consequence": 5},
    ],
)
def test_controls_cannot_make_a_risk_worse(patio, values):
    with pytest.raises(Refused, match="cannot make a risk worse"):
        apply(patio, change(Action.RATE, **values))


def test_a_removed_line_is_shown_with_its_reason(patio):
    found = apply(patio, change(Action.REMOVE))
    assert all(line.key != FALL for line in found.lines)
    (gone,) = found.removed
    assert gone.line.key == FALL
    assert gone.reason == WHY


@pytest.mark.parametrize("reason", ["", "   ", "ok"])
def test_no_change_goes_without_a_reason(patio, reason):
    with pytest.raises(Refused, match="Say why"):
        apply(patio, change(Action.REMOVE, reason=reason))


def test_a_control_is_added_in_its_place_in_the_hierarchy(patio):
    found = apply(
        patio,
        change(Action.ADD_CONTROL, text="Hire a scissor lift.", level="substitute"),
    )
    levels = [control.level.place for control in found.line(FALL).controls]
    assert levels == sorted(levels)
    assert any(c.text == "Hire a scissor lift." for c in found.line(FALL).controls)


def test_a_control_is_reworded_or_taken_away(patio):
    key = patio.line(FALL).controls[0].key
    reworded = apply(
        patio, change(Action.EDIT_CONTROL, control_key=key, text="Do this.")
    )
    assert reworded.line(FALL).controls[0].text == "Do this."
    removed = apply(patio, change(Action.REMOVE_CONTROL, control_key=key))
    assert all(control.key != key for control in removed.line(FALL).controls)


def test_the_last_control_of_a_line_stays(patio):
    takes = [
        change(Action.REMOVE_CONTROL, control_key=control.key)
        for control in patio.line(FALL).controls
    ]
    with pytest.raises(Refused, match="at least one control"):
        apply(patio, *takes)


def test_a_line_is_added_at_its_step(patio):
    line = patio.line("lay_sheets/fall_from_height")
    added = change(
        Action.ADD,
        "lay_sheets/added-magpie",
        "A magpie nests in the gum beside the roof.",
        name="Swooping magpie",
        harm="A person ducks and falls.",
        text="Wear a helmet and work with the tree behind you.",
        level="ppe",
        task_key="lay_sheets",
        task_name=line.task_name,
        position=line.position,
        initial_likelihood=3,
        initial_consequence=4,
        residual_likelihood=2,
        residual_consequence=4,
    )
    found = apply(patio, added)
    assert found.line("lay_sheets/added-magpie").controls[0].level is Level.PPE
    assert [ln.position for ln in found.lines] == sorted(
        ln.position for ln in found.lines
    )
    with pytest.raises(Refused, match="already has that line"):
        apply(found, added)


def test_a_change_to_a_line_that_is_gone_is_named_and_left_out(patio):
    lost = change(Action.EDIT, "lay_sheets/gone", name="Gone")
    assert apply(patio, lost) == patio
    assert stale_overrides(patio, [lost]) == (lost,)
    assert stale_overrides(patio, [change(Action.EDIT, name="Here")]) == ()


def test_changes_come_on_in_their_order(patio):
    one = change(Action.EDIT, name="First")
    two = change(Action.EDIT, name="Second")
    line = apply(patio, one, two).line(FALL)
    assert line.name == "Second"
    assert len(line.changes) == 2
