"""Forecasts beside what happened."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date

from django.db.models import Count, Max, Q

from jobs.models import Firm, Job
from jobs.queries.firm import local_day
from scheduling.domain.accuracy import Accuracy, Judged, accuracy
from scheduling.domain.forecast import METHOD
from scheduling.models import Forecast, Visit

FIRST_METHOD = 1  # of forecasts kept before they said how they were made


@dataclass(frozen=True, slots=True)
class ForecastRow:
    """The first forecast of a job, and what came of it."""

    forecast: Forecast
    judged: Judged

    @property
    def is_older_way(self) -> bool:
        """Made by an earlier method than forecasts are made by now."""
        method: int = self.forecast.evidence.get("method", FIRST_METHOD)
        return method < METHOD

    @property
    def kept_half(self) -> bool | None:
        """Done by the day that half of such jobs are done by."""
        return self.judged.kept(self.judged.half_on)

    @property
    def kept_most(self) -> bool | None:
        """Done by the day that four in five are done by."""
        return self.judged.kept(self.judged.most_on)


@dataclass(frozen=True, slots=True)
class ForecastRecord:
    """How good first forecasts were, newest first."""

    rows: tuple[ForecastRow, ...]
    accuracy: Accuracy


def forecast_record(firm: Firm, today: date) -> ForecastRecord:
    """The first forecast of every job that was not called off. Two queries.

    The first, because that is the one a client is told. Jobs not done yet count as soon
    as their day is past: what is late must not be missing.
    """
    firsts: dict[int, Forecast] = {}
    rows = Forecast.objects.select_related("job__client").exclude(
        job__closed_how=Job.Closed.CALLED_OFF
    )
    for row in rows.order_by("plan_number", "pk"):
        firsts.setdefault(row.job_id, row)
    done = _done_on(firsts, firm)
    found = [
        ForecastRow(row, Judged(row.half_on, row.most_on, done.get(row.job_id), today))
        for row in firsts.values()
    ]
    found.sort(key=lambda r: (r.forecast.made_at, r.forecast.pk), reverse=True)
    return ForecastRecord(tuple(found), accuracy(row.judged for row in found))


def _done_on(jobs: Mapping[int, object], firm: Firm) -> dict[int, date]:
    """The day on which the last task of each finished job was done."""
    visits = Visit.objects.filter(job__in=list(jobs), dropped_at__isnull=True)
    rows = visits.values("job").annotate(
        last=Max("tasks__done_at"),
        left=Count("tasks", filter=Q(tasks__done_at__isnull=True)),
    )
    return {
        row["job"]: local_day(row["last"], firm)
        for row in rows
        if row["last"] is not None and not row["left"]
    }
