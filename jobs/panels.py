"""The base app's panels of the job page."""

from collections.abc import Iterator, Sequence

from django.http import HttpRequest

from jobs.domain.holds import Hold
from jobs.models import Job
from jobs.panel_registry import Panel


def panels(request: HttpRequest, job: Job, holds: Sequence[Hold]) -> Iterator[Panel]:
    """Panels for this person."""
    return iter(())
