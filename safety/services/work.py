"""Work on site: who started, which task was started and done, and mistakes taken back."""

from collections.abc import Sequence
from datetime import datetime
from typing import Any
from uuid import UUID, uuid5

from django.db import models, transaction

from jobs import ledger
from jobs.domain.moments import happened_at
from jobs.domain.refusals import Refused
from jobs.models import Firm, Job, Person, Task
from jobs.queries.firm import local_day, the_firm
from jobs.services.rates import count_hours
from safety.domain.verbs import Verb
from safety.models import Attendance
from safety.permissions import require_lead
from safety.queries.task_order import not_done_before
from safety.services.judging import judge_again, judge_soon

_REASON_SHORTEST = 5  # letters
_HOURS = ("actual_minutes", "estimated_minutes")


@transaction.atomic
def start_work(
    *,
    job: Job,
    people: Sequence[Person],
    actor: Person,
    at: datetime,
    device_at: datetime | None,
    client_uid: UUID,
) -> list[Attendance]:
    """Record who started work today. It is recorded whatever holds are open.

    ``client_uid`` stands for the whole list; sent twice it is recorded once.
    """
    require_lead(actor, job)
    if not people:
        raise Refused("Say who starts work.")
    # The lock makes two phones that record the same start wait for each other.
    job = Job.objects.select_for_update(of=("self",)).get(pk=job.pk)
    firm, moment = the_firm(), happened_at(device_at, at)
    new = add_people(job, people, actor, at, moment, client_uid, firm)
    if new:
        judge_soon(job, moment, at, firm)
    return new


def add_people(
    job: Job,
    people: Sequence[Person],
    actor: Person,
    at: datetime,
    moment: datetime,
    client_uid: UUID,
    firm: Firm,
) -> list[Attendance]:
    """Write the rows, without those already there. Call inside a transaction."""
    day = local_day(moment, firm)
    there = Attendance.objects.filter(job=job, day=day, taken_back_at__isnull=True)
    here = set(there.values_list("person_id", flat=True))
    new = []
    for person in people:
        if person.pk in here:
            continue
        row, made = Attendance.objects.get_or_create(
            client_uid=uuid5(client_uid, str(person.pk)),
            defaults={
                "job": job,
                "day": day,
                "person": person,
                "recorded_by": actor,
                "device_at": moment,
                "at": at,
            },
        )
        if made:
            new.append(row)
            payload = {"person": person.name, "device_at": moment.isoformat()}
            _log(job, Verb.WORK_STARTED, row, payload, actor, at)
    return new


@transaction.atomic
def take_back_start(
    *, attendance: Attendance, reason: str, actor: Person, at: datetime
) -> Attendance:
    """Mark a start of work as a mistake. The row stays, with the reason."""
    require_lead(actor, attendance.job)
    _need_reason(reason)
    row = Attendance.objects.select_for_update(of=("self",)).get(pk=attendance.pk)
    if row.taken_back_at is not None:
        raise Refused("That is taken back already.")
    row.taken_back_at, row.taken_back_why = at, reason.strip()
    row.save(update_fields=["taken_back_at", "taken_back_why"])
    payload = {"person": row.person.name, "reason": reason.strip()}
    _log(row.job, Verb.WORK_TAKEN_BACK, row, payload, actor, at)
    _look_again(row.day, at)
    return row


@transaction.atomic
def start_task(
    *, task: Task, actor: Person, at: datetime, device_at: datetime | None
) -> Task:
    """Record that a task was started. It is recorded whatever holds are open.

    The ledger keeps which tasks before it were not done. Sent twice it is recorded once:
    the first word on a task stands.
    """
    require_lead(actor, task.job)
    row = _lock_task(task)
    if row.started_at is not None or row.done_at is not None:
        return row
    moment = happened_at(device_at, at)
    row.started_at = moment
    row.save(update_fields=["started_at"])
    early = not_done_before(row.job, moment).get(row.pk, [])
    _record(row, Verb.TASK_STARTED, moment, actor, at, early)
    return row


@transaction.atomic
def finish_task(
    *,
    task: Task,
    actor: Person,
    at: datetime,
    device_at: datetime | None,
    minutes: int | None = None,
) -> Task:
    """Record that a task is done, with the minutes it took when somebody knows them.

    Minutes are of all people together and count toward the firm's rates. Sent twice it
    is recorded once.
    """
    require_lead(actor, task.job)
    row = _lock_task(task)
    if row.done_at is not None:
        return row
    moment = happened_at(device_at, at)
    early: list[str] = []
    if row.started_at is None:
        early = not_done_before(row.job, moment).get(row.pk, [])
    if row.started_at is None or row.started_at > moment:
        row.started_at = moment
    row.done_at, row.done_by = moment, actor
    count_hours(task=row, minutes=minutes)
    row.save(update_fields=["started_at", "done_at", "done_by", *_HOURS])
    _record(row, Verb.TASK_DONE, moment, actor, at, early)
    return row


@transaction.atomic
def take_back_task(*, task: Task, reason: str, actor: Person, at: datetime) -> Task:
    """Take back the last word on a task: "done" becomes "started", "started" nothing."""
    require_lead(actor, task.job)
    _need_reason(reason)
    row = _lock_task(task)
    was = row.done_at or row.started_at
    if was is None:
        raise Refused("That task has not started.")
    if row.done_at is not None:
        row.done_at, row.done_by = None, None
        count_hours(task=row, minutes=None)
        row.save(update_fields=["done_at", "done_by", *_HOURS])
    else:
        row.started_at = None
        row.save(update_fields=["started_at"])
    payload = {"task": row.name, "was": was.isoformat(), "reason": reason.strip()}
    _log(row.job, Verb.TASK_TAKEN_BACK, row, payload, actor, at)
    _look_again(local_day(was), at)
    return row


def _lock_task(task: Task) -> Task:
    locked = Task.objects.select_for_update(of=("self",)).select_related("job")
    row = locked.get(pk=task.pk)
    if not row.job.is_open:
        raise Refused("This job is closed. Open it again first.")
    return row


def _need_reason(reason: str) -> None:
    if len(reason.strip()) < _REASON_SHORTEST:
        raise Refused("Say what was wrong with it; the reason is kept.")


def _record(
    task: Task,
    verb: Verb,
    moment: datetime,
    actor: Person,
    at: datetime,
    early: Sequence[str],
) -> None:
    payload: dict[str, Any] = {
        "task": task.name,
        "key": task.key,
        "device_at": moment.isoformat(),
    }
    if early:
        payload["not_done_before"] = list(early)
    _log(task.job, verb, task, payload, actor, at)
    judge_soon(task.job, moment, at, the_firm())


def _look_again(day: Any, at: datetime) -> None:
    firm = the_firm()
    judge_again(first=day, last=local_day(at, firm), firm=firm, at=at)


def _log(
    job: Job,
    verb: Verb,
    subject: models.Model,
    payload: dict[str, Any],
    actor: Person,
    at: datetime,
) -> None:
    ledger.append(
        chain=job, actor=actor, at=at, verb=verb, subject=subject, payload=payload
    )
