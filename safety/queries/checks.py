"""Daily checks, as recorded at a moment."""

from collections.abc import Iterable
from datetime import date, datetime

from jobs.models import Job
from safety.models import DailyCheck


def last_checks(jobs: Iterable[Job], day: date, at: datetime) -> dict[int, DailyCheck]:
    """The check that counts on a day at a moment, by job id. One query."""
    rows = (
        DailyCheck.objects.filter(job__in=list(jobs), day=day, device_at__lte=at)
        .select_related("checked_by")
        .order_by("device_at", "at", "pk")
    )
    return {row.job_id: row for row in rows}


def checks_of(job: Job, day: date) -> list[DailyCheck]:
    """All checks of a job on a day, the last first, with their answers. Two queries."""
    return list(
        DailyCheck.objects.filter(job=job, day=day)
        .select_related("checked_by", "photo", "statement")
        .prefetch_related("answers")
        .order_by("-device_at", "-pk")
    )
