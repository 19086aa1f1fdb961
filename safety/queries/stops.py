"""Work that was stopped, of many jobs, as known at a moment."""

from collections.abc import Iterable
from datetime import date, datetime

from django.db.models import Q

from jobs.domain.packs import PackValue
from jobs.models import Firm, Job
from safety.library import pack_of
from safety.models import StopWork
from safety.queries.work import day_limits

_AFTER = ("incidents.notifiable", "incidents.notify", "incidents.preserve")


def open_stops(jobs: Iterable[Job], at: datetime) -> list[StopWork]:
    """Stops of these jobs that nobody had released by then. One query."""
    rows = StopWork.objects.filter(
        Q(released_at__isnull=True) | Q(released_at__gt=at),
        job__in=list(jobs),
        device_at__lte=at,
    )
    return list(rows.select_related("stopped_by").order_by("device_at", "pk"))


def stops_of(job: Job) -> list[StopWork]:
    """Every stop of a job, the last first. One query."""
    rows = StopWork.objects.filter(job=job)
    return list(rows.select_related("stopped_by", "released_by"))


def stops_on(job: Job, day: date, firm: Firm) -> list[StopWork]:
    """Stops of a job that were made or released on a day, the first first. One query."""
    limits = day_limits(day, firm)
    rows = StopWork.objects.filter(
        Q(device_at__gte=limits[0], device_at__lt=limits[1])
        | Q(released_at__gte=limits[0], released_at__lt=limits[1]),
        job=job,
    )
    rows = rows.select_related("stopped_by", "released_by")
    return list(rows.order_by("device_at", "pk"))


def after_an_incident(firm: Firm, day: date) -> list[PackValue]:
    """What the law asks for after somebody was hurt, in the words of the firm's pack."""
    found = (pack_of(firm.pack).find(key, day) for key in _AFTER)
    return [value for value in found if value is not None]
