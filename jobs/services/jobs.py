"""Open a job, give it dimensions, change it, close it."""

from collections.abc import Mapping
from dataclasses import asdict
from datetime import datetime
from typing import Any

from django.db import transaction
from django.db.models import Max

from jobs import ledger
from jobs.domain.dimensions import Dimensions
from jobs.domain.holds import Stops
from jobs.domain.refusals import Refused, Stale
from jobs.domain.roles import Can
from jobs.domain.takeoff import check_dimensions
from jobs.domain.verbs import Verb
from jobs.hold_registry import holds
from jobs.library import method, sections
from jobs.models import (
    Approval,
    ApprovalKind,
    Client,
    Job,
    JobDimensions,
    Person,
    Site,
)
from jobs.permissions import require
from jobs.queries.handover import in_ledger, left_open
from jobs.services.clients import add_client, add_site
from jobs.services.edits import apply_edit, changes_in_words, plain
from jobs.services.facts import record_facts
from jobs.services.sequence import copy_method

FIRST_NUMBER = 1001


@transaction.atomic
def open_job(
    *, values: Mapping[str, Any], method_key: str, actor: Person, at: datetime
) -> Job:
    """Open a job from a method: its task sequence and the approvals it needs.

    ``values`` are columns of :class:`Job` (title, client, site, site_lead …).
    """
    require(actor, Can.EDIT_JOBS)
    chosen = method(method_key)
    job = Job(
        number=_next_number(),
        structure=chosen.structure,
        method=method_key,
        created_at=at,
        **values,
    )
    if job.site.client_id != job.client_id:
        raise Refused(
            "That site belongs to another client. Choose one of this client's."
        )
    job.full_clean()
    job.save(force_insert=True)
    copy_method(job, chosen)
    _ask_for_approvals(job)
    ledger.append(
        chain=job,
        actor=actor,
        at=at,
        verb=Verb.JOB_OPENED,
        subject=job,
        payload={"number": job.number, "title": job.title, "method": method_key},
    )
    return job


@transaction.atomic
def open_job_at(
    *,
    site: Site | None,
    client: Client | None,
    site_values: Mapping[str, Any],
    client_values: Mapping[str, Any],
    values: Mapping[str, Any],
    method_key: str,
    actor: Person,
    at: datetime,
) -> Job:
    """Open a job at a site that is there, or at a new one; all of it or nothing.

    Without ``site`` one is made from ``site_values`` for ``client``, and without
    ``client`` that one is made too.
    """
    if site is None:
        who = client or add_client(values=client_values, actor=actor, at=at)
        site = add_site(client=who, values=site_values, actor=actor, at=at)
    where = {"site": site, "client": site.client}
    return open_job(
        values={**values, **where}, method_key=method_key, actor=actor, at=at
    )


def _next_number() -> int:
    last = Job.objects.aggregate(last=Max("number"))["last"]
    return (last or FIRST_NUMBER - 1) + 1


def _ask_for_approvals(job: Job) -> None:
    attached = job.structure_kind.is_attached
    for kind in ApprovalKind.objects.all():
        needed = (
            kind.needed_when_attached if attached else kind.needed_when_freestanding
        )
        reason = "" if needed else "Not needed for a structure of this kind"
        Approval.objects.create(
            job=job, kind=kind, required=needed, not_required_reason=reason
        )


@transaction.atomic
def edit_job(
    *,
    job: Job,
    version: int,
    values: Mapping[str, Any],
    actor: Person,
    at: datetime,
) -> Job:
    """Change a job's title, lead, dates, weight or note."""
    require(actor, Can.EDIT_JOBS)
    job, changes = apply_edit(job, version=version, values=values)
    if changes:
        _log(job, Verb.JOB_CHANGED, changes, actor, at)
    return job


@transaction.atomic
def set_dimensions(
    *,
    job: Job,
    version: int | None,
    dimensions: Dimensions,
    actor: Person,
    at: datetime,
) -> JobDimensions:
    """Set or change the dimensions. ``version`` is None when there are none yet."""
    require(actor, Can.EDIT_JOBS)
    problems = check_dimensions(job.structure_kind, dimensions, sections())
    if problems:
        raise Refused([problem.says for problem in problems])
    values = asdict(dimensions)
    values["frame"] = dimensions.frame.value
    row = JobDimensions.objects.select_for_update().filter(job=job).first()
    if (row is None) != (version is None):
        raise Stale
    if row is None:
        row = JobDimensions(job=job, **values)
        row.full_clean()
        row.save(force_insert=True)
        changes: dict[str, Any] = values
        cause = "dimensions set"
    else:
        row, changes = apply_edit(row, version=version or 0, values=values)
        cause = f"dimensions changed ({changes_in_words(JobDimensions, changes)})"
    if changes:
        _log(job, Verb.DIMENSIONS_SET, changes, actor, at)
        record_facts(job=job, cause=cause, actor=actor, at=at)
    return row


@transaction.atomic
def close_job(
    *,
    job: Job,
    how: Job.Closed,
    note: str,
    actor: Person,
    at: datetime,
    reason: str = "",
) -> Job:
    """Hand a job over or call it off.

    With something left open it is handed over only for a written ``reason``, which goes
    into the ledger with the list of what was open.
    """
    require(actor, Can.EDIT_JOBS)
    job = Job.objects.select_for_update().get(pk=job.pk)
    if not job.is_open:
        raise Refused("This job is closed already.")
    payload = {"how": str(how), "note": note}
    if how is Job.Closed.HANDED_OVER:
        _refuse_while_held(job, at)
        payload |= _open_with_a_reason(job, reason, at)
    job.closed_at, job.closed_how = at, how
    job.save(update_fields=["closed_at", "closed_how"])
    _log(job, Verb.JOB_CLOSED, payload, actor, at)
    return job


def _refuse_while_held(job: Job, at: datetime) -> None:
    """A job with an open hold on its handover is not handed over."""
    stopping = [h for h in holds([job], at)[job.pk] if Stops.HANDOVER in h.stops]
    if stopping:
        raise Refused(
            [f"{hold.says} To clear it: {hold.clear_by_doing}" for hold in stopping]
        )


def _open_with_a_reason(job: Job, reason: str, at: datetime) -> dict[str, str]:
    """What is left open and why it is handed over all the same, for the ledger."""
    left = left_open(job, at)
    if not left:
        return {}
    if not reason.strip():
        kinds = ", ".join(f"{kind.lower()}: {len(rows)}" for kind, rows in left.items())
        raise Refused(
            f"Not everything is closed off ({kinds}). Say why the job is handed over "
            "all the same, or put it right first."
        )
    return {"reason": reason.strip(), **in_ledger(left)}


@transaction.atomic
def reopen_job(*, job: Job, reason: str, actor: Person, at: datetime) -> Job:
    """Take a closed job up again."""
    require(actor, Can.EDIT_JOBS)
    if not reason.strip():
        raise Refused("Say why the job is opened again.")
    job = Job.objects.select_for_update().get(pk=job.pk)
    if job.is_open:
        raise Refused("This job is open already.")
    job.closed_at, job.closed_how = None, ""
    job.save(update_fields=["closed_at", "closed_how"])
    _log(job, Verb.JOB_REOPENED, {"reason": reason}, actor, at)
    return job


def _log(
    job: Job, verb: Verb, payload: Mapping[str, Any], actor: Person, at: datetime
) -> None:
    ledger.append(
        chain=job, actor=actor, at=at, verb=verb, subject=job, payload=_plain(payload)
    )


def _plain(payload: Mapping[str, Any]) -> dict[str, Any]:
    return {key: plain(value) for key, value in payload.items()}
