"""Freeze a plan as a reviewed version, issue it, or drop it."""

from datetime import datetime
from typing import Any

from django.db import transaction
from django.db.models import Max

from jobs import ledger
from jobs.background import run_after_commit
from jobs.domain.refusals import Refused
from jobs.domain.roles import Can
from jobs.models import Firm, Job, Person
from jobs.permissions import require
from jobs.queries.firm import the_firm
from safety.domain.verbs import Verb
from safety.models import Statement
from safety.queries.blockers import blockers
from safety.queries.plans import Draft, draft
from safety.services.rules import keep_rules

State = Statement.State


@transaction.atomic
def review_statement(
    *, job: Job, seen_digest: str, note: str, actor: Person, at: datetime
) -> Statement:
    """Freeze the plan as the next version, reviewed by ``actor``.

    ``seen_digest`` is that of the plan the reviewer looked at; when the plan changed
    meanwhile it is refused. A version that waited to be issued is dropped.
    """
    require(actor, Can.EDIT_PLAN)
    firm = the_firm()
    keep_rules(firm=firm, actor=actor, at=at)
    job = _lock(job)
    found = draft(job, at, firm)
    reasons = blockers(job, found)
    if reasons or found is None:
        raise Refused(reasons)
    _refuse_unseen(found, seen_digest)
    _refuse_same(job, found)
    for waiting in Statement.objects.filter(job=job, state=State.REVIEWED):
        _drop(waiting, "A newer version was reviewed.", actor, at)
    statement = _freeze(found, note, actor, at)
    payload = {"number": statement.number, "digest": statement.digest, "note": note}
    _log(statement, Verb.STATEMENT_REVIEWED, payload, actor, at)
    return statement


def _lock(job: Job) -> Job:
    rows = Job.objects.select_related("client", "site", "site_lead")
    return rows.select_for_update(of=("self",)).get(pk=job.pk)


def _refuse_unseen(found: Draft, seen_digest: str) -> None:
    if seen_digest != found.digest:
        raise Refused(
            "The plan changed after you opened it. Look at it again before you review it."
        )


def _refuse_same(job: Job, found: Draft) -> None:
    issued = Statement.objects.filter(job=job, state=State.ISSUED).first()
    if issued is not None and issued.digest == found.digest:
        raise Refused(
            f"Version {issued.number} is issued and says the same in everything that "
            "counts. There is nothing new to review."
        )


def _freeze(found: Draft, note: str, actor: Person, at: datetime) -> Statement:
    last = Statement.objects.filter(job=found.job).aggregate(last=Max("number"))["last"]
    content = {**found.content, "print": {"Reviewed by": actor.name}}
    return Statement.objects.create(
        job=found.job,
        number=(last or 0) + 1,
        state=State.REVIEWED,
        content=content,
        digest=found.digest,
        law_on=found.on,
        by_law=found.plan.duty.by_law,
        rests_on=found.rests_on,
        facts=found.revision,
        reviewed_by=actor,
        reviewed_at=at,
        review_note=note.strip(),
    )


@transaction.atomic
def issue_statement(*, statement: Statement, actor: Person, at: datetime) -> Statement:
    """Make a reviewed version the one in force; the one before is superseded.

    Refused when it is not the version that waits, or when the plan has changed since it
    was reviewed.
    """
    require(actor, Can.ISSUE_STATEMENT)
    firm = the_firm()
    job = _lock(statement.job)
    locked = Statement.objects.select_for_update(of=("self",)).get(pk=statement.pk)
    if locked.state != State.REVIEWED:
        raise Refused(
            f"Version {locked.number} is {locked.get_state_display().lower()}. "
            "Only a reviewed version can be issued."
        )
    _refuse_outdated(job, locked, at, firm)
    Statement.objects.filter(job=job, state=State.ISSUED).update(
        state=State.SUPERSEDED, superseded_at=at
    )
    locked.state, locked.issued_at, locked.issued_by = State.ISSUED, at, actor
    locked.save(update_fields=["state", "issued_at", "issued_by"])
    payload = {"number": locked.number, "digest": locked.digest}
    _log(locked, Verb.STATEMENT_ISSUED, payload, actor, at)
    run_after_commit("safety.tasks.render_statement", statement_id=locked.pk)
    return locked


def _refuse_outdated(job: Job, statement: Statement, at: datetime, firm: Firm) -> None:
    found = draft(job, at, firm)
    reasons = blockers(job, found)
    if reasons or found is None:
        raise Refused(reasons)
    if found.digest != statement.digest:
        raise Refused(
            f"The plan changed after version {statement.number} was reviewed. "
            "Review it again, then issue that version."
        )


@transaction.atomic
def drop_statement(
    *, statement: Statement, reason: str, actor: Person, at: datetime
) -> Statement:
    """Give up a reviewed version that was never issued."""
    require(actor, Can.EDIT_PLAN)
    if not reason.strip():
        raise Refused("Say why this version is dropped.")
    locked = Statement.objects.select_for_update(of=("self",)).get(pk=statement.pk)
    if locked.state != State.REVIEWED:
        raise Refused("Only a version that waits to be issued can be dropped.")
    _drop(locked, reason.strip(), actor, at)
    return locked


def _drop(statement: Statement, reason: str, actor: Person, at: datetime) -> None:
    statement.state, statement.dropped_at = State.DROPPED, at
    statement.save(update_fields=["state", "dropped_at"])
    payload = {"number": statement.number, "reason": reason}
    _log(statement, Verb.STATEMENT_DROPPED, payload, actor, at)


def _log(
    statement: Statement,
    verb: Verb,
    payload: dict[str, Any],
    actor: Person,
    at: datetime,
) -> None:
    ledger.append(
        chain=statement.job,
        actor=actor,
        at=at,
        verb=verb,
        subject=statement,
        payload=payload,
    )
