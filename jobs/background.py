"""Start background work after commit, and report its progress."""

import logging
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from datetime import datetime, timedelta
from functools import partial
from typing import Any
from uuid import UUID

from celery import current_app
from django.conf import settings
from django.db import transaction
from django.utils import timezone

from jobs.models import BackgroundRun, Job, Person

log = logging.getLogger(__name__)

State = BackgroundRun.State
LOST_AFTER = timedelta(minutes=15)  # nothing here works that long; its worker is gone


class Stopped(Exception):
    """Somebody asked the run to stop."""


def run_after_commit(task: str, **kwargs: Any) -> None:
    """Send a task by name once the transaction is safe; never if it is rolled back.

    By name, so that the web process need not import what the worker runs.
    """
    transaction.on_commit(partial(_send, task, kwargs))


def _send(task: str, kwargs: dict[str, Any]) -> None:
    if getattr(settings, "CELERY_TASK_ALWAYS_EAGER", False):
        current_app.loader.import_default_modules()
        current_app.tasks[task].apply(kwargs=kwargs, throw=True)
        return
    current_app.send_task(task, kwargs=kwargs)


def start(
    *,
    task: str,
    label: str,
    asked_by: Person | None,
    at: datetime,
    job: Job | None = None,
    **kwargs: Any,
) -> BackgroundRun:
    """Record a run that a page can follow and send its task after commit.

    The task gets ``run_id`` and ``kwargs``.
    """
    run = BackgroundRun.objects.create(
        task=task, label=label, asked_by=asked_by, asked_at=at, job=job
    )
    run_after_commit(task, run_id=str(run.pk), **kwargs)
    return run


def ask_to_stop(*, run: BackgroundRun) -> None:
    """Ask a run to stop at its next report."""
    BackgroundRun.objects.filter(pk=run.pk).update(stop_asked=True)


def give_up_lost(*, at: datetime) -> int:
    """Mark runs whose worker is gone, so that nobody waits for them. How many."""
    lost = BackgroundRun.objects.filter(
        state=State.RUNNING, started_at__lt=at - LOST_AFTER
    )
    return lost.update(
        state=State.FAILED,
        ended_at=at,
        says="Given up: whoever worked on it is gone. Ask for it again.",
    )


class Reporter:
    """What a task tells the page through."""

    def __init__(self, run_id: UUID) -> None:
        self.run_id = run_id

    def __call__(self, fraction: float, says: str) -> None:
        """Say how far the work is; raises :class:`Stopped` when asked to stop."""
        rows = BackgroundRun.objects.filter(pk=self.run_id)
        rows.update(fraction=min(max(fraction, 0.0), 1.0), says=says[:240])
        if self.stop_asked():
            raise Stopped

    def stop_asked(self) -> bool:
        """Whether somebody asked for a stop."""
        return BackgroundRun.objects.filter(pk=self.run_id, stop_asked=True).exists()

    def finish(self, *, says: str, url: str = "", **result: Any) -> None:
        """Record what came of it."""
        BackgroundRun.objects.filter(pk=self.run_id).update(
            fraction=1.0, says=says[:240], result=result, result_url=url
        )


@contextmanager
def reporting(
    run_id: str, clock: Callable[[], datetime] = timezone.now
) -> Iterator[Reporter]:
    """Run a task's work between its start and its end, whatever the end is.

    A run that is already over is not done again: a task may be delivered twice.
    Raises :class:`Stopped` before any work in that case.
    """
    uid = UUID(run_id)
    rows = BackgroundRun.objects.filter(pk=uid)
    if not rows.filter(state__in=[State.WAITING, State.RUNNING]).update(
        state=State.RUNNING, started_at=clock()
    ):
        raise Stopped
    try:
        yield Reporter(uid)
    except Stopped:
        rows.update(state=State.STOPPED, ended_at=clock(), says="Stopped.")
    except Exception:
        log.exception("background run %s failed", run_id)
        rows.update(
            state=State.FAILED,
            ended_at=clock(),
            says="Something went wrong. Try again; if it stays, tell whoever runs this.",
        )
        raise
    else:
        rows.update(state=State.DONE, ended_at=clock(), fraction=1.0)
