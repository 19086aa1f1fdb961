"""The task sequence of one job. The library stays as it is."""

import json
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from typing import Any

from django.db import transaction
from django.db.models import ProtectedError
from django.utils.text import slugify

from jobs import ledger
from jobs.domain.methods import LagKind, Link, Method, TaskSpec
from jobs.domain.refusals import Refused, Stale
from jobs.domain.roles import Can
from jobs.domain.sequence import moved, relinked, with_task, without_task
from jobs.domain.task_records import spec_to_json
from jobs.domain.verbs import Verb
from jobs.models import Job, Person, Task, TaskLink
from jobs.permissions import require
from jobs.queries.facts import task_specs
from jobs.queries.rates import rate_factors
from jobs.services.edits import apply_edit
from jobs.services.facts import record_facts


@dataclass(frozen=True, slots=True)
class NewLink:
    """A predecessor as typed: which task, how long after it, and why."""

    after_id: int
    lag_hours: float = 0.0
    lag_kind: LagKind = LagKind.CALENDAR
    why: str = ""


def copy_method(job: Job, chosen: Method) -> None:
    """Give a new job the task sequence of a method. Call inside a transaction.

    Times are the library's, by the factors that the office accepted for its own crews.
    """
    factors = rate_factors()
    rows = Task.objects.bulk_create(
        Task(
            job=job,
            key=spec.key,
            position=position,
            kind=spec.kind,
            name=spec.name,
            spec=_stored(_at_rate(spec, factors.get(spec.kind, 1.0))),
            rate_factor=factors.get(spec.kind, 1.0),
        )
        for position, spec in enumerate(chosen.tasks, start=1)
    )
    by_key = {row.key: row for row in rows}
    TaskLink.objects.bulk_create(
        _link_row(by_key[link.after], by_key[spec.key], link)
        for spec in chosen.tasks
        for link in spec.links
    )


def _at_rate(spec: TaskSpec, factor: float) -> TaskSpec:
    if factor == 1.0:
        return spec
    return replace(
        spec,
        minutes_per_unit=round(spec.minutes_per_unit * factor, 3),
        setup_minutes=round(spec.setup_minutes * factor, 3),
    )


def _stored(spec: TaskSpec) -> dict[str, Any]:
    """A specification as the database gives it back, so that equal ones compare equal."""
    stored: dict[str, Any] = json.loads(json.dumps(spec_to_json(spec)))
    return stored


def _link_row(before: Task, after: Task, link: Link) -> TaskLink:
    return TaskLink(
        predecessor=before,
        successor=after,
        lag_hours=link.lag_hours,
        lag_kind=link.lag_kind.value,
        why=link.why,
    )


@transaction.atomic
def add_task(
    *,
    job: Job,
    spec: TaskSpec,
    after: Sequence[NewLink],
    position: int,
    actor: Person,
    at: datetime,
) -> Task:
    """Add a task at a place (from 1) in the sequence, after the tasks it waits for.

    It comes later than asked for when it must wait for a later task.
    """
    job = _lock(job, actor)
    key = _free_key(job, spec.key or slugify(spec.name)[:50] or "task")
    spec = replace(spec, key=key, links=_links(job, after))
    ordered = with_task(task_specs(job), spec, position - 1)
    task = Task.objects.create(
        job=job,
        key=key,
        position=position,
        kind=spec.kind,
        name=spec.name,
        spec=_stored(spec),
    )
    _write(job, ordered)
    _record(job, Verb.TASK_ADDED, task, {"name": task.name, "key": key}, actor, at)
    return task


@transaction.atomic
def edit_task(
    *, task: Task, version: int, spec: TaskSpec, actor: Person, at: datetime
) -> Task:
    """Change what a task is: its name, times, crew, tools, tickets."""
    job = _lock(task.job, actor)
    _refuse_started(task)
    values = {"name": spec.name, "kind": spec.kind, "spec": _stored(spec)}
    task, changes = apply_edit(task, version=version, values=values)
    if changes:
        _record(job, Verb.TASK_CHANGED, task, changes, actor, at)
    return task


@transaction.atomic
def remove_task(*, task: Task, actor: Person, at: datetime) -> None:
    """Take a task out; what waited for it now waits for what it waited for."""
    job = _lock(task.job, actor)
    _refuse_started(task)
    left = without_task(task_specs(job), task.key)
    ledger.append(
        chain=job,
        actor=actor,
        at=at,
        verb=Verb.TASK_REMOVED,
        subject=task,
        payload={"name": task.name, "key": task.key},
    )
    _delete(task)
    _write(job, left)
    record_facts(job=job, cause=f"task removed: {task.name}", actor=actor, at=at)


@transaction.atomic
def move_task(*, task: Task, position: int, actor: Person, at: datetime) -> None:
    """Move a task to another place (from 1). Refused when a link speaks against it."""
    job = _lock(task.job, actor)
    _write(job, moved(task_specs(job), task.key, position - 1))
    payload = {"name": task.name, "position": position}
    _record(job, Verb.SEQUENCE_CHANGED, task, payload, actor, at)


@transaction.atomic
def relink_task(
    *,
    task: Task,
    version: int,
    after: Sequence[NewLink],
    actor: Person,
    at: datetime,
) -> None:
    """Say anew what a task waits for. A loop is refused, and named.

    The list is put in order again, so that no task stands before one it waits for.
    """
    job = _lock(task.job, actor)
    task = Task.objects.select_for_update(of=("self",)).get(pk=task.pk)
    if task.version != version:
        raise Stale
    links = _links(job, after)
    _write(job, relinked(task_specs(job), task.key, links))
    task.version += 1
    task.save(update_fields=["version"])
    payload = {
        "name": task.name,
        "after": [
            {"key": link.after, "lag_hours": link.lag_hours, "lag_kind": link.lag_kind}
            for link in links
        ],
    }
    _record(job, Verb.SEQUENCE_CHANGED, task, payload, actor, at)


def _links(job: Job, after: Iterable[NewLink]) -> tuple[Link, ...]:
    keys = dict(job.tasks.values_list("pk", "key"))
    links = list(after)
    if any(link.after_id not in keys for link in links):
        raise Refused("A task can only wait for a task of the same job.")
    if len({link.after_id for link in links}) != len(links):
        raise Refused("The same task is named twice. Name each task once.")
    return tuple(
        Link(keys[link.after_id], link.lag_hours, link.lag_kind, link.why)
        for link in links
    )


def _write(job: Job, ordered: Iterable[TaskSpec]) -> None:
    """Write positions and links of the whole sequence."""
    specs = list(ordered)
    rows = {row.key: row for row in job.tasks.all()}
    for position, spec in enumerate(specs, start=1):
        rows[spec.key].position = position
    Task.objects.bulk_update(rows.values(), ["position"])
    TaskLink.objects.filter(successor__job=job).delete()
    TaskLink.objects.bulk_create(
        _link_row(rows[link.after], rows[spec.key], link)
        for spec in specs
        for link in spec.links
    )


def _lock(job: Job, actor: Person) -> Job:
    require(actor, Can.EDIT_JOBS)
    locked = Job.objects.select_for_update(of=("self",)).get(pk=job.pk)
    if not locked.is_open:
        raise Refused("This job is closed. Open it again before you change it.")
    return locked


def _refuse_started(task: Task) -> None:
    if task.started_at or task.done_at:
        raise Refused(f"“{task.name}” has started, so it stays as it is.")


def _delete(task: Task) -> None:
    try:
        task.delete()
    except ProtectedError as error:  # what apps above keep of it, such as a measurement
        raise Refused(
            f"Something was measured at “{task.name}”, so it stays in the sequence."
        ) from error


def _free_key(job: Job, wanted: str) -> str:
    taken = set(job.tasks.values_list("key", flat=True))
    key, n = wanted, 2
    while key in taken:
        key, n = f"{wanted}-{n}", n + 1
    return key


def _record(
    job: Job,
    verb: Verb,
    task: Task,
    payload: Mapping[str, Any],
    actor: Person,
    at: datetime,
) -> None:
    ledger.append(
        chain=job, actor=actor, at=at, verb=verb, subject=task, payload=payload
    )
    record_facts(job=job, cause=f"{verb.says}: {task.name}", actor=actor, at=at)
