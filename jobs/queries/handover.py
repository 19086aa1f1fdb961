"""What is still open on a job that is about to be handed over."""

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from datetime import datetime
from enum import StrEnum
from functools import cache

from django.conf import settings
from django.utils.module_loading import import_string

from jobs.hold_registry import holds
from jobs.models import Job
from jobs.queries.facts import current_take_off
from jobs.queries.sequence import sequence_of


class Kind(StrEnum):
    """Kinds of things left open, in the order people see; the value names it."""

    HOLDS = "Open holds"
    HOLD_POINTS = "Hold points not passed"
    TASKS = "Tasks not done"


@dataclass(frozen=True, slots=True)
class LeftOpen:
    """One thing left open. ``record`` is the row behind it, as a hold names it."""

    kind: Kind
    says: str
    record: tuple[str, int] | None = None


Provider = Callable[[Job, datetime], Iterable[LeftOpen]]


@cache
def _providers() -> tuple[Provider, ...]:
    return tuple(import_string(path) for path in settings.HANDOVER_PROVIDERS)


def left_open(job: Job, at: datetime) -> dict[Kind, list[LeftOpen]]:
    """What is open on a job at a moment, by kind; kinds with nothing are left out.

    A hold about something that a provider names is not said twice. Tasks that the
    dimensions do not call for are never done, so they are not missed either.
    """
    named = [one for provider in _providers() for one in provider(job, at)]
    records = {one.record for one in named if one.record}
    open_holds = [
        LeftOpen(Kind.HOLDS, hold.says, hold.record)
        for hold in holds([job], at)[job.pk]
        if hold.record not in records
    ]
    return _by_kind([*open_holds, *named, *_tasks(job)])


def _tasks(job: Job) -> list[LeftOpen]:
    views = sequence_of(job, current_take_off(job), called_for_only=True)
    return [
        LeftOpen(Kind.TASKS, view.task.name, ("jobs.task", view.task.pk))
        for view in views
        if view.state != "done"
    ]


def _by_kind(found: Iterable[LeftOpen]) -> dict[Kind, list[LeftOpen]]:
    listed = list(found)
    kinds = {kind: [one for one in listed if one.kind is kind] for kind in Kind}
    return {kind: rows for kind, rows in kinds.items() if rows}


def in_ledger(left: Mapping[Kind, Iterable[LeftOpen]]) -> dict[str, str]:
    """The same as the ledger keeps it: a line for each kind."""
    return {
        kind.name.lower(): "; ".join(one.says for one in rows)
        for kind, rows in left.items()
    }
