"""Take hours in as they come back from site, and decide about rates."""

from collections.abc import Mapping
from dataclasses import asdict
from datetime import datetime

from django.core.exceptions import PermissionDenied
from django.db import transaction

from jobs import ledger
from jobs.domain.rates import is_in_doubt
from jobs.domain.refusals import Refused
from jobs.domain.roles import Can
from jobs.domain.verbs import Verb
from jobs.models import Job, Person, RateDecision, Task
from jobs.permissions import may_record_hours, require
from jobs.queries.facts import current_take_off
from jobs.queries.firm import local_day
from jobs.queries.rates import HoursRow, hours_rows, minutes_by_rate, rate_rows


@transaction.atomic
def record_hours(
    *, job: Job, minutes: Mapping[int, int | None], actor: Person, at: datetime
) -> int:
    """Record what tasks took, all people together, and what their rates said.

    ``minutes`` by task id; None takes a figure back. How many changed. The office may,
    and the lead of the job.
    """
    if not may_record_hours(actor, job):
        raise PermissionDenied("Your roles do not allow recording hours of this job.")
    Job.objects.select_for_update(of=("self",)).get(pk=job.pk)
    take_off = current_take_off(job)
    if take_off is None:
        raise Refused("Set the dimensions first: hours are compared with the rate.")
    rows = {row.task.pk: row for row in hours_rows(job, take_off)}
    changed = {
        pk: took
        for pk, took in minutes.items()
        if pk in rows and _is_news(rows[pk], took)
    }
    _refuse_slips([(rows[pk], took) for pk, took in changed.items()])
    for pk, took in changed.items():
        _write(rows[pk], took)
    if changed:
        payload = {rows[pk].task.key: took for pk, took in changed.items()}
        ledger.append(
            chain=job,
            actor=actor,
            at=at,
            verb=Verb.HOURS_RECORDED,
            subject=job,
            payload={"minutes": payload},
        )
    return len(changed)


def count_hours(*, task: Task, minutes: int | None) -> None:
    """Put minutes on a task that is being done, beside what its rate says.

    For services that record the end of a task: they have its row locked, check who may,
    save both columns and keep the ledger. Refused where the figure cannot be right.
    Without dimensions there is no rate to stand beside them.
    """
    take_off = None if minutes is None else current_take_off(task.job)
    rate = None if take_off is None else minutes_by_rate(task, take_off)
    _refuse_slips([(HoursRow(task, rate or 0.0), minutes)])
    task.actual_minutes, task.estimated_minutes = minutes, rate


def _is_news(row: HoursRow, took: int | None) -> bool:
    """Whether a figure changes, or had no rate beside it so far."""
    known = row.task.actual_minutes == took
    return not known or (took is not None and row.task.estimated_minutes is None)


def _refuse_slips(changes: list[tuple[HoursRow, int | None]]) -> None:
    reasons = []
    for row, took in changes:
        rate = row.estimated_minutes
        if took is not None and took <= 0:
            reasons.append(f"{row.task.name}: type more than 0 hours, or nothing.")
        elif took and rate > 0 and is_in_doubt(took, rate):
            says = f"{took / 60:.1f} hours where the rate says {rate / 60:.1f}"
            reasons.append(f"{row.task.name}: {says}. Look again.")
    if reasons:
        raise Refused(reasons)


def _write(row: HoursRow, took: int | None) -> None:
    task: Task = row.task
    task.actual_minutes = took
    task.estimated_minutes = row.estimated_minutes if took else None
    task.save(update_fields=["actual_minutes", "estimated_minutes"])


@transaction.atomic
def decide_rate(
    *, kind: str, proposed: float, accept: bool, actor: Person, at: datetime
) -> RateDecision:
    """Use the proposed rate in jobs opened from now on, or keep the present one.

    ``proposed`` is what the office saw. Refused when more hours came back meanwhile.
    Jobs that are open keep the rates they were planned with.
    """
    require(actor, Can.EDIT_LIBRARY)
    rows = {row.evidence.kind: row for row in rate_rows(local_day(at))}
    row = rows.get(kind)
    if row is None or not row.evidence.is_proposed:
        raise Refused("There is nothing to decide about this rate any more.")
    if row.evidence.proposed != proposed:
        raise Refused("More hours came back meanwhile. Look at the new figures.")
    decision = RateDecision.objects.create(
        kind=kind,
        factor=proposed if accept else row.evidence.in_use,
        accepted=accept,
        evidence=asdict(row.evidence),
        decided_at=at,
        decided_by=actor,
    )
    ledger.append(
        chain=ledger.FIRM_CHAIN,
        actor=actor,
        at=at,
        verb=Verb.RATE_ACCEPTED if accept else Verb.RATE_KEPT,
        subject=decision,
        payload={"kind": kind, "factor": decision.factor, "proposed": proposed},
    )
    return decision
