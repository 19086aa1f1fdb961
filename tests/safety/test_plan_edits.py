"""Change the computed plan, with a reason, and take the change back."""

import pytest
from django.core.exceptions import PermissionDenied

from jobs.domain.refusals import Refused
from jobs.models import Job, LedgerEntry
from jobs.services.jobs import close_job
from safety.domain.overrides import Action
from safety.domain.verbs import Verb
from safety.models import PlanEdit
from safety.services.plan_edits import edit_plan, undo_edit
from tests.safety.conftest import plan_now

REASON = "Seen on the last job like this one."


def first_line(job, at):
    return plan_now(job, at).plan.lines[0]


def edit(job, actor, at, does=Action.EDIT, **values):
    plain = {"reason": REASON, "changes": {"harm": "A crushed hand."}}
    return edit_plan(job=job, does=does, actor=actor, at=at, **(plain | values))


def test_new_words_stand_in_the_plan_with_who_and_why(job, oscar, before):
    line = first_line(job, before)
    edit(job, oscar, before, line_key=line.key)
    changed = plan_now(job, before).plan.line(line.key)
    assert changed.harm == "A crushed hand."
    assert changed.changes[0].reason == REASON
    assert changed.changes[0].by == "Oscar Office"


def test_a_line_left_out_stays_on_the_plan_as_left_out(job, oscar, before):
    line = first_line(job, before)
    edit(job, oscar, before, Action.REMOVE, line_key=line.key, changes={})
    found = plan_now(job, before).plan
    assert line.key not in {one.key for one in found.lines}
    assert found.removed[0].line.key == line.key


def test_a_hazard_of_the_reviewers_own(job, oscar, before):
    changes = {
        "name": "Bees in the wall",
        "harm": "Stings, and falls while flinching.",
        "text": "The client has the nest taken out first.",
        "task_key": "set_out",
        "task_name": "Set out",
        "position": 1,
        "initial_likelihood": 3,
        "initial_consequence": 3,
        "residual_likelihood": 1,
        "residual_consequence": 3,
    }
    row = edit(job, oscar, before, Action.ADD, changes=changes)
    assert row.line_key == "set_out/added-bees-in-the-wall"
    assert plan_now(job, before).plan.line(row.line_key).name == "Bees in the wall"


def test_two_own_hazards_of_one_name_are_kept_apart(job, oscar, before):
    changes = {"name": "Bees", "harm": "Stings.", "text": "Wait."}
    keys = {
        edit(job, oscar, before, Action.ADD, changes=changes).line_key for _ in range(2)
    }
    assert keys == {"job/added-bees", "job/added-bees-2"}


def test_an_own_hazard_needs_words(job, oscar, before):
    with pytest.raises(Refused) as refused:
        edit(job, oscar, before, Action.ADD, changes={"name": " "})
    assert len(refused.value.reasons) == 3


def test_a_change_needs_a_reason(job, oscar, before):
    line = first_line(job, before)
    with pytest.raises(Refused, match="Say why"):
        edit(job, oscar, before, line_key=line.key, reason="ok")
    assert not PlanEdit.objects.exists()


def test_a_line_that_is_not_there_cannot_be_changed(job, oscar, before):
    with pytest.raises(Refused, match="does not have that line"):
        edit(job, oscar, before, line_key="set_out/no_such_hazard")


def test_controls_cannot_make_a_risk_worse(job, oscar, before):
    line = first_line(job, before)
    changes = {"initial_likelihood": 1, "residual_likelihood": 5}
    with pytest.raises(Refused, match="cannot make a risk worse"):
        edit(job, oscar, before, Action.RATE, line_key=line.key, changes=changes)


def test_undo_gives_the_plan_back_and_keeps_the_row(job, oscar, before, now):
    was = plan_now(job, before).digest
    row = edit(job, oscar, before, line_key=first_line(job, before).key)
    assert plan_now(job, before).digest != was
    undo_edit(edit=row, actor=oscar, at=now)
    assert plan_now(job, now).digest == was
    assert plan_now(job, before).digest != was
    with pytest.raises(Refused, match="taken back already"):
        undo_edit(edit=row, actor=oscar, at=now)


def test_a_change_to_a_line_that_went_away_is_idle(job, oscar, before):
    line = first_line(job, before)
    edit(job, oscar, before, line_key=line.key)
    edit(job, oscar, before, Action.REMOVE, line_key=line.key, changes={})
    PlanEdit.objects.filter(does="edit").update(made_at=before.replace(hour=2))
    assert [idle.edit.does for idle in plan_now(job, before.replace(hour=3)).idle] == [
        "edit"
    ]


def test_a_closed_job_is_left_alone(job, oscar, before):
    key = first_line(job, before).key
    close_job(job=job, how=Job.Closed.CALLED_OFF, note="", actor=oscar, at=before)
    with pytest.raises(Refused, match="closed"):
        edit(job, oscar, before, line_key=key)


@pytest.mark.parametrize("who", ["sal", "cam", "olive", "gus"])
def test_only_the_office_edits(job, before, who, request):
    person = request.getfixturevalue(who)
    with pytest.raises(PermissionDenied):
        edit(job, person, before, line_key=first_line(job, before).key)


def test_the_ledger_keeps_what_was_changed(job, oscar, before):
    row = edit(job, oscar, before, line_key=first_line(job, before).key)
    entry = LedgerEntry.objects.get(chain=job.chain, verb=Verb.PLAN_EDITED)
    assert entry.subject == f"safety.planedit:{row.pk}"
    assert REASON in entry.payload
