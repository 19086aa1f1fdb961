"""Engineer's certificate, council approval, and the firm's own kinds."""

from collections.abc import Mapping
from datetime import date, datetime
from typing import Any

from django.core.files.uploadedfile import UploadedFile
from django.db import transaction
from django.utils.text import slugify

from jobs import ledger
from jobs.domain.approvals import Event, Step, next_steps, standing_on
from jobs.domain.refusals import Refused
from jobs.domain.roles import Can
from jobs.domain.verbs import Verb
from jobs.models import Approval, ApprovalEvent, ApprovalKind, Document, Job, Person
from jobs.permissions import require
from jobs.queries.firm import local_day
from jobs.services.edits import apply_edit, plain
from jobs.services.uploads import take_in


@transaction.atomic
def set_needed(
    *,
    approval: Approval,
    version: int,
    required: bool,
    reason: str,
    actor: Person,
    at: datetime,
) -> Approval:
    """Say whether the job needs this approval. "Not needed" needs a reason."""
    require(actor, Can.EDIT_APPROVALS)
    if not required and not reason.strip():
        raise Refused("Say why this approval is not needed.")
    values = {"required": required, "not_required_reason": "" if required else reason}
    approval, changes = apply_edit(approval, version=version, values=values)
    if changes:
        _log(approval, Verb.APPROVAL_NEEDED, changes, actor, at)
    return approval


@transaction.atomic
def set_expected(
    *,
    approval: Approval,
    version: int,
    expected_on: date | None,
    actor: Person,
    at: datetime,
) -> Approval:
    """Record when it is expected back."""
    require(actor, Can.EDIT_APPROVALS)
    values = {"expected_on": expected_on}
    approval, changes = apply_edit(approval, version=version, values=values)
    if changes:
        _log(approval, Verb.APPROVAL_EXPECTED, changes, actor, at)
    return approval


@transaction.atomic
def record_step(
    *,
    approval: Approval,
    step: Step,
    happened_on: date,
    reference: str = "",
    conditions: str = "",
    expires_on: date | None = None,
    note: str = "",
    document: Document | None = None,
    actor: Person,
    at: datetime,
) -> ApprovalEvent:
    """Record that something happened: lodged, asked for more, granted, refused …"""
    require(actor, Can.EDIT_APPROVALS)
    locked = Approval.objects.select_for_update().get(pk=approval.pk)
    _refuse_nonsense(locked, step, happened_on, local_day(at), conditions, expires_on)
    event = ApprovalEvent.objects.create(
        approval=locked,
        step=step.value,
        happened_on=happened_on,
        reference=reference,
        conditions=conditions,
        expires_on=expires_on,
        note=note,
        document=document,
        recorded_at=at,
        recorded_by=actor,
    )
    payload = {
        "kind": locked.kind.key,
        "step": step.value,
        "happened_on": plain(happened_on),
        "reference": reference,
        "conditions": conditions,
        "expires_on": plain(expires_on),
        "document": document.sha256 if document else None,
    }
    _log(locked, Verb.APPROVAL_STEP, payload, actor, at)
    return event


def _refuse_nonsense(
    approval: Approval,
    step: Step,
    happened_on: date,
    today: date,
    conditions: str,
    expires_on: date | None,
) -> None:
    events = [
        Event(Step(row.step), row.happened_on, row.expires_on)
        for row in approval.events.all()
    ]
    reasons = []
    if happened_on > today:
        reasons.append("That day has not come yet. Give the day it really happened.")
    if events and happened_on < events[-1].happened_on:
        reasons.append("That is before the step recorded last. Check the day.")
    standing = standing_on(
        max(happened_on, today), required=approval.required, events=events
    )
    if step not in next_steps(standing):
        reasons.append(
            f"The approval is “{standing.value}” now, so “{step.says}” cannot come next."
        )
    if step is Step.GRANTED_IF and not conditions.strip():
        reasons.append("Write down the conditions it was granted with.")
    if expires_on is not None and expires_on < happened_on:
        reasons.append("It would expire before it was granted. Check the day.")
    if reasons:
        raise Refused(reasons)


def _log(
    approval: Approval,
    verb: Verb,
    payload: Mapping[str, Any],
    actor: Person,
    at: datetime,
) -> None:
    ledger.append(
        chain=approval.job,
        actor=actor,
        at=at,
        verb=verb,
        subject=approval,
        payload=payload,
    )


@transaction.atomic
def record_step_with_paper(
    *,
    approval: Approval,
    upload: "UploadedFile[Any] | None",
    actor: Person,
    at: datetime,
    **step: Any,
) -> ApprovalEvent:
    """Record a step and keep the paper that came with it. Both or neither."""
    require(actor, Can.EDIT_APPROVALS)
    paper = None
    if upload is not None:
        title = f"{approval.kind.name}: {Step(step['step']).says.lower()}"
        paper = take_in(
            upload=upload, title=title, job=approval.job, actor=actor, at=at
        )
    return record_step(approval=approval, document=paper, actor=actor, at=at, **step)


@transaction.atomic
def add_to_job(
    *, job: Job, kind: ApprovalKind, actor: Person, at: datetime
) -> Approval:
    """Ask for one more kind of approval for a job."""
    require(actor, Can.EDIT_APPROVALS)
    approval, made = Approval.objects.get_or_create(job=job, kind=kind)
    if not made:
        raise Refused(f"{kind.name} is kept for this job already.")
    _log(approval, Verb.APPROVAL_ADDED, {"kind": kind.key}, actor, at)
    return approval


@transaction.atomic
def add_kind(*, values: Mapping[str, Any], actor: Person, at: datetime) -> ApprovalKind:
    """Add a kind of approval. New jobs ask for it; jobs that are open do not."""
    require(actor, Can.EDIT_APPROVALS)
    kind = ApprovalKind(key=slugify(values["name"])[:40], **values)
    kind.full_clean()
    kind.save(force_insert=True)
    ledger.append(
        chain=ledger.FIRM_CHAIN,
        actor=actor,
        at=at,
        verb=Verb.APPROVAL_KIND_ADDED,
        subject=kind,
        payload={name: plain(value) for name, value in values.items()},
    )
    return kind


@transaction.atomic
def edit_kind(
    *, kind: ApprovalKind, values: Mapping[str, Any], actor: Person, at: datetime
) -> ApprovalKind:
    """Change a kind of approval: its usual days, when it is needed."""
    require(actor, Can.EDIT_LIBRARY)
    row = ApprovalKind.objects.select_for_update().get(pk=kind.pk)
    changes = {
        name: [plain(getattr(row, name)), plain(value)]
        for name, value in values.items()
        if getattr(row, name) != value
    }
    if changes:
        for name in changes:
            setattr(row, name, values[name])
        row.full_clean()
        row.save(update_fields=list(changes))
        ledger.append(
            chain=ledger.FIRM_CHAIN,
            actor=actor,
            at=at,
            verb=Verb.APPROVAL_KIND_CHANGED,
            subject=row,
            payload=changes,
        )
    return row
