"""Daily checks, as recorded at a moment."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date, datetime

from django.db.models import Exists, OuterRef

from jobs.models import Job
from safety.models import DailyCheck, StopWork


@dataclass(frozen=True, slots=True)
class LastCheck:
    """The last check of a day, and whether work was stopped and released since.

    After that the site may be another: a "go" from before does not count any more. A
    "no go" does, until somebody says go.
    """

    check: DailyCheck
    released_since: bool

    @property
    def counts(self) -> bool:
        """Whether it still speaks for the day."""
        no_go = self.check.outcome == DailyCheck.Outcome.NO_GO
        return no_go or not self.released_since


def last_checks(jobs: Iterable[Job], day: date, at: datetime) -> dict[int, DailyCheck]:
    """The check that counts on a day at a moment, by job id. One query."""
    return that_count(checks_made(jobs, day, at))


def that_count(made: Mapping[int, LastCheck]) -> dict[int, DailyCheck]:
    """Those checks that still speak for the day. No query."""
    return {job_id: last.check for job_id, last in made.items() if last.counts}


def checks_made(jobs: Iterable[Job], day: date, at: datetime) -> dict[int, LastCheck]:
    """The last check of a day at a moment, by job id, counting or not. One query."""
    released = StopWork.objects.filter(
        job=OuterRef("job"), released_at__lte=at, released_at__gt=OuterRef("device_at")
    )
    rows = (
        DailyCheck.objects.filter(job__in=list(jobs), day=day, device_at__lte=at)
        .select_related("checked_by")
        .annotate(released_since=Exists(released))
        .order_by("device_at", "at", "pk")
    )
    return {row.job_id: LastCheck(row, row.released_since) for row in rows}


def checks_of(job: Job, day: date) -> list[DailyCheck]:
    """All checks of a job on a day, the last first, with their answers. Two queries."""
    return list(
        DailyCheck.objects.filter(job=job, day=day)
        .select_related("checked_by", "photo", "statement")
        .prefetch_related("answers")
        .order_by("-device_at", "-pk")
    )
