"""Keep forecasts as they were made, so that they can be compared with what happened."""

from datetime import datetime

from django.db import transaction

from jobs.models import Job
from jobs.queries import the_firm
from scheduling.models import Booking, Forecast, PlanHead
from scheduling.queries.forecasts import job_forecasts


@transaction.atomic
def record_forecasts(*, plan_number: int, at: datetime) -> int:
    """Record what is forecast for each booked job now that a plan is published.

    Told twice it records once. A plan that was overtaken meanwhile is left out: its
    forecasts would be those of the next one. A job whose days did not change keeps the
    forecast it has. How many were recorded.
    """
    head = PlanHead.objects.filter(pk=1).first()
    if head is None or head.number != plan_number:
        return 0
    booked = Booking.objects.filter(cancelled_at__isnull=True).values("visit__job")
    jobs = list(Job.objects.open().filter(pk__in=booked).select_related("site"))
    last = _last_days(jobs)
    fresh = [
        Forecast(
            job=found.job,
            plan_number=plan_number,
            made_at=at,
            half_on=found.finish.half,
            most_on=found.finish.most,
            evidence=found.evidence(),
        )
        for found in job_forecasts(jobs, the_firm(), at).values()
        if last.get(found.job.pk) != (found.finish.half, found.finish.most)
    ]
    Forecast.objects.bulk_create(fresh, ignore_conflicts=True)
    return len(fresh)


def _last_days(jobs: list[Job]) -> dict[int, tuple[object, object]]:
    rows = Forecast.objects.filter(job__in=jobs).order_by("plan_number")
    return {row.job_id: (row.half_on, row.most_on) for row in rows}
