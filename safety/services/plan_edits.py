"""A reviewer's changes to the computed plan of a job."""

from collections.abc import Mapping
from datetime import datetime

from django.db import transaction
from django.utils.text import slugify

from jobs import ledger
from jobs.domain.refusals import Refused
from jobs.domain.roles import Can
from jobs.models import Job, Person
from jobs.permissions import require
from jobs.queries.firm import the_firm
from safety.domain.overrides import Action, apply_overrides
from safety.domain.verbs import Verb
from safety.models import PlanEdit
from safety.queries.plans import Draft, as_override, draft

MADE_UP = "added"


@transaction.atomic
def edit_plan(
    *,
    job: Job,
    does: Action,
    reason: str,
    line_key: str = "",
    control_key: str = "",
    changes: Mapping[str, str | int],
    actor: Person,
    at: datetime,
) -> PlanEdit:
    """Change, leave out or add a line of the plan, or a control of it, with a reason.

    Refused when the plan has no such line, or the change makes no sense on it.
    """
    require(actor, Can.EDIT_PLAN)
    job = _lock(job)
    found = draft(job, at, the_firm())
    if found is None:
        raise Refused("The dimensions are not set, so there is no plan to change.")
    edit = PlanEdit(
        job=job,
        does=does.value,
        line_key=_key(found, does, line_key, changes),
        control_key=control_key,
        changes=dict(changes),
        reason=reason.strip(),
        made_by=actor,
        by_name=actor.name,
        made_at=at,
    )
    _refuse_nonsense(found, edit)
    edit.save(force_insert=True)
    payload = {
        "does": edit.does,
        "line": edit.line_key,
        "control": control_key,
        "changes": dict(changes),
        "reason": edit.reason,
    }
    ledger.append(
        chain=job,
        actor=actor,
        at=at,
        verb=Verb.PLAN_EDITED,
        subject=edit,
        payload=payload,
    )
    return edit


@transaction.atomic
def undo_edit(*, edit: PlanEdit, actor: Person, at: datetime) -> PlanEdit:
    """Take a change back. The row stays, with the moment it was taken back."""
    require(actor, Can.EDIT_PLAN)
    locked = PlanEdit.objects.select_for_update(of=("self",)).get(pk=edit.pk)
    if locked.undone_at is not None:
        raise Refused("That change is taken back already.")
    _lock(locked.job)
    locked.undone_at = at
    locked.save(update_fields=["undone_at"])
    ledger.append(
        chain=locked.job,
        actor=actor,
        at=at,
        verb=Verb.PLAN_EDIT_UNDONE,
        subject=locked,
        payload={"does": locked.does, "line": locked.line_key},
    )
    return locked


def _lock(job: Job) -> Job:
    locked = Job.objects.select_for_update(of=("self",)).get(pk=job.pk)
    if not locked.is_open:
        raise Refused("This job is closed. Open it again before you change its plan.")
    return locked


def _key(
    found: Draft, does: Action, line_key: str, changes: Mapping[str, str | int]
) -> str:
    """The key of the line; a new line gets one of its own, after its name."""
    if does is not Action.ADD:
        return line_key
    task = str(changes.get("task_key") or "job")
    stem = f"{task}/{MADE_UP}-{slugify(str(changes.get('name', '')))[:60]}"
    taken = {line.key for line in found.plan.lines}
    taken |= {edit.line_key for edit in found.edits}
    key, n = stem, 2
    while key in taken:
        key, n = f"{stem}-{n}", n + 1
    return key


def _refuse_nonsense(found: Draft, edit: PlanEdit) -> None:
    if edit.does == Action.ADD:
        _refuse_empty(edit)
    changed = apply_overrides(found.plan, [as_override(edit)], found.matrix)
    if changed is found.plan:
        raise Refused(
            "The plan does not have that line any more. Look at the plan as it is now."
        )


def _refuse_empty(edit: PlanEdit) -> None:
    missing = [
        says
        for name, says in (
            ("name", "Say what the hazard is."),
            ("harm", "Say what could happen to a person."),
            ("text", "Say what is done about it."),
        )
        if not str(edit.changes.get(name, "")).strip()
    ]
    if missing:
        raise Refused(missing)
