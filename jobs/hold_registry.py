"""All holds of many jobs at one moment, from every app's providers.

A provider is ``provider(jobs, at) -> Iterable[Hold]``. It reads dated records as they
stood at ``at`` and answers for all the jobs in a fixed number of queries.
"""

from collections.abc import Callable, Iterable, Sequence
from datetime import datetime
from functools import cache

from django.conf import settings
from django.utils.module_loading import import_string

from jobs.domain.holds import Hold
from jobs.models import Job

Provider = Callable[[Sequence[Job], datetime], Iterable[Hold]]


@cache
def _providers() -> tuple[Provider, ...]:
    return tuple(import_string(path) for path in settings.HOLD_PROVIDERS)


def holds(jobs: Iterable[Job], at: datetime) -> dict[int, list[Hold]]:
    """Open holds by job id, in the order of the providers. Every job has a key."""
    listed = list(jobs)
    found: dict[int, list[Hold]] = {job.pk: [] for job in listed}
    if listed:
        for provider in _providers():
            for hold in provider(listed, at):
                found[hold.job_id].append(hold)
    return found
