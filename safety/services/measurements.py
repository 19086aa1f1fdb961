"""Measure a hold point."""

from collections.abc import Mapping
from datetime import datetime
from typing import Any
from uuid import UUID

from django.db import transaction

from jobs import ledger
from jobs.domain.moments import happened_at
from jobs.domain.refusals import Refused, SentBefore
from jobs.models import Person, Task
from jobs.queries.firm import local_day, the_firm
from safety.domain.measuring import kind_of, measured, refuse_slips
from safety.domain.verbs import Verb
from safety.models import Measurement
from safety.permissions import require_lead
from safety.queries.hold_points import spec_of
from safety.queries.set_out import expected_at
from safety.services.judging import judge_again

_NOTE_LONGEST = 240  # letters


@transaction.atomic
def measure_hold_point(
    *,
    task: Task,
    values: Mapping[str, float],
    looks_right: bool,
    note: str,
    actor: Person,
    at: datetime,
    device_at: datetime | None,
    client_uid: UUID,
) -> Measurement:
    """Record the readings of a hold point and whether they pass.

    A failed one holds the tasks that follow until a later one passes. Sent twice it is
    recorded once.
    """
    require_lead(actor, task.job)
    # The lock makes the same reading sent twice at once wait for itself.
    task = _lock(task)
    before = Measurement.objects.filter(client_uid=client_uid).first()
    if before is not None:
        return _same(before, (task.pk, dict(values), _kept(note)), looks_right)
    spec = spec_of(task)
    if spec is None:
        raise Refused(f"“{task.name}” has no hold point.")
    if not task.job.is_open:
        raise Refused("This job is closed. Open it again first.")
    expected = expected_at(task, spec)
    refuse_slips(spec, values, expected)
    result = measured(spec, values, expected=expected, looks_right=looks_right)
    if not result.passed and result.difference_mm is None and not note.strip():
        raise Refused("Say what is not right.")
    moment = happened_at(device_at, at)
    row = Measurement.objects.create(
        client_uid=client_uid,
        task=task,
        kind=kind_of(spec).value,
        values=dict(values),
        difference_mm=result.difference_mm,
        tolerance_mm=result.tolerance_mm,
        passed=result.passed,
        note=_kept(note),
        measured_by=actor,
        device_at=moment,
        at=at,
    )
    payload = {
        "task": task.name,
        "kind": row.kind,
        "values": dict(values),
        "difference_mm": row.difference_mm,
        "tolerance_mm": row.tolerance_mm,
        "passed": row.passed,
        "note": row.note,
        "device_at": moment.isoformat(),
    }
    ledger.append(
        chain=task.job,
        actor=actor,
        at=at,
        verb=Verb.MEASURED,
        subject=row,
        payload=payload,
    )
    if moment < at:
        _look_again(moment, at)
    return row


def _lock(task: Task) -> Task:
    rows = Task.objects.select_for_update(of=("self",)).select_related("job")
    return rows.get(pk=task.pk)


def _same(row: Measurement, said: tuple[Any, ...], looks_right: bool) -> Measurement:
    looked = row.difference_mm is None and row.passed != looks_right
    if looked or (row.task_id, row.values, row.note) != said:
        raise SentBefore(f"a measurement that {'passed' if row.passed else 'failed'}")
    return row


def _kept(note: str) -> str:
    return note.strip()[:_NOTE_LONGEST]


def _look_again(moment: datetime, at: datetime) -> None:
    firm = the_firm()
    judge_again(
        first=local_day(moment, firm), last=local_day(at, firm), firm=firm, at=at
    )
