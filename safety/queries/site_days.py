"""The days somebody worked on a job, or looked at it: one line each."""

from dataclasses import dataclass, field
from datetime import date, datetime

from jobs.models import Firm, Job, Task
from jobs.queries.firm import local_day
from safety.models import Attendance, DailyCheck


@dataclass(slots=True)
class SiteDay:
    """One day of a job."""

    day: date
    check: DailyCheck | None = None  # the one that counts
    people: list[str] = field(default_factory=list)
    done: list[str] = field(default_factory=list)


def site_days(job: Job, at: datetime, firm: Firm) -> list[SiteDay]:
    """The days of a job up to a moment, the last first. Three queries."""
    days: dict[date, SiteDay] = {}

    def of(day: date) -> SiteDay:
        return days.setdefault(day, SiteDay(day))

    checks = DailyCheck.objects.filter(job=job, device_at__lte=at)
    for check in checks.select_related("checked_by").order_by("device_at", "pk"):
        of(check.day).check = check
    started = Attendance.objects.filter(
        job=job, device_at__lte=at, taken_back_at__isnull=True
    )
    for day, name in started.order_by("device_at").values_list("day", "person__name"):
        of(day).people.append(name)
    done = Task.objects.filter(job=job, done_at__lte=at).order_by("done_at", "pk")
    for moment, name in done.values_list("done_at", "name"):
        assert moment is not None
        of(local_day(moment, firm)).done.append(name)
    return sorted(days.values(), key=lambda one: one.day, reverse=True)
