"""Stop all work on a job, and release it again once somebody has looked into it."""

from datetime import datetime
from uuid import UUID

from django.db import transaction

from jobs import ledger
from jobs.domain.moments import happened_at
from jobs.domain.refusals import Refused, SentBefore
from jobs.domain.roles import Can
from jobs.models import Job, Person
from jobs.permissions import require
from jobs.queries.firm import local_day, the_firm
from safety.domain.verbs import Verb
from safety.models import Statement, StopWork
from safety.services.judging import judge_again

_SHORTEST = 5  # letters
Kind = StopWork.Kind


@transaction.atomic
def stop_work(
    *,
    job: Job,
    kind: StopWork.Kind,
    what: str,
    actor: Person,
    at: datetime,
    device_at: datetime | None,
    client_uid: UUID,
) -> StopWork:
    """Stop all work on a job. Whoever works there may; nobody has to agree.

    Work recorded after that moment went ahead under a hold. Sent twice it is recorded
    once.
    """
    require(actor, Can.REPORT)
    job = Job.objects.select_for_update(of=("self",)).get(pk=job.pk)
    before = StopWork.objects.filter(client_uid=client_uid).first()
    if before is not None:
        return _same(before, job, kind, what)
    if not job.is_open:
        raise Refused("This job is closed: there is no work to stop.")
    if len(what.strip()) < _SHORTEST:
        raise Refused("Say what happened, or what is not safe.")
    row = StopWork.objects.create(
        client_uid=client_uid,
        job=job,
        kind=kind,
        what=what.strip(),
        stopped_by=actor,
        device_at=happened_at(device_at, at),
        at=at,
    )
    payload = {
        "kind": row.kind,
        "what": row.what,
        "device_at": row.device_at.isoformat(),
    }
    _log(row, Verb.WORK_STOPPED, payload, actor, at)
    _look_again(row, at)
    return row


def _same(row: StopWork, job: Job, kind: StopWork.Kind, what: str) -> StopWork:
    if (row.job_id, row.kind, row.what) != (job.pk, kind, what.strip()):
        raise SentBefore(f"work stopped by {row.stopped_by.name}")
    return row


def _look_again(row: StopWork, at: datetime) -> None:
    """Work recorded since then was held, although nobody here had heard of it."""
    if row.device_at < at:
        firm = the_firm()
        first, last = local_day(row.device_at, firm), local_day(at, firm)
        judge_again(first=first, last=last, firm=firm, at=at)


@transaction.atomic
def release_work(
    *,
    stop: StopWork,
    found: str,
    statement_says: StopWork.Statement,
    actor: Person,
    at: datetime,
) -> StopWork:
    """Let work go on, with what was found and what was changed.

    Refused where a new version of the statement is claimed that nobody issued.
    """
    require(actor, Can.RELEASE_WORK)
    row = StopWork.objects.select_for_update(of=("self",)).get(pk=stop.pk)
    if row.released_at is not None:
        raise Refused("Somebody released this work already. Open the page anew.")
    if len(found.strip()) < _SHORTEST:
        raise Refused("Say what was found, and what is different now.")
    if statement_says == StopWork.Statement.NEW and not _issued_since(row):
        raise Refused(
            "No version was issued since work was stopped. Review the hazard plan and "
            "issue it first, or say that the statement still fits."
        )
    row.released_by, row.released_at = actor, at
    row.found, row.statement_says = found.strip(), statement_says
    row.save(
        update_fields=["released_by", "released_at", "found", "statement_says"],
    )
    payload = {"found": row.found, "statement": row.statement_says}
    _log(row, Verb.WORK_RELEASED, payload, actor, at)
    return row


def _issued_since(row: StopWork) -> bool:
    since = Statement.objects.filter(job=row.job_id, issued_at__gte=row.device_at)
    return since.exists()


def _log(
    row: StopWork, verb: Verb, payload: dict[str, str], actor: Person, at: datetime
) -> None:
    ledger.append(
        chain=row.job, verb=verb, subject=row, payload=payload, actor=actor, at=at
    )
