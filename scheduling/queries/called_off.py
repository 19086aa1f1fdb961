"""Which days are called off for weather, and why, as of a moment."""

from collections.abc import Iterable
from dataclasses import dataclass, field
from datetime import date, datetime, timedelta

from django.db.models import Q

from jobs.models import Person
from scheduling.models import LostDay, PlanHead

LATE_BY = timedelta(days=14)  # firm's decision: how late a lost day is written down


@dataclass(frozen=True, slots=True)
class CalledOff:
    """Days called off, for one job or for all of them (None)."""

    rows: dict[tuple[date, int | None], LostDay] = field(default_factory=dict)

    def of(self, job_id: int, day: date) -> LostDay | None:
        """What called this day of the job off; the job's own record goes first."""
        return self.rows.get((day, job_id)) or self.rows.get((day, None))

    def says(self, job_id: int, day: date) -> str:
        """Why this day of the job is off, in the words of who said so; "" when it is on."""
        lost = self.of(job_id, day)
        return lost.reason if lost else ""


def called_off(first: date, last: date | None, at: datetime) -> CalledOff:
    """Days that stand called off at a moment, both ends included. One query."""
    rows = LostDay.objects.filter(
        Q(cancelled_at__isnull=True) | Q(cancelled_at__gt=at),
        recorded_at__lte=at,
        day__gte=first,
    )
    if last is not None:
        rows = rows.filter(day__lte=last)
    return _by_day(rows.order_by("pk"))


def standing_on(day: date) -> CalledOff:
    """What has that day called off now, whenever it was written down. One query."""
    return _by_day(
        LostDay.objects.filter(day=day, cancelled_at__isnull=True).order_by("pk")
    )


def own_lost_days(person: Person, today: date) -> list[LostDay]:
    """Days this person called off that may still matter, the first one first. One query."""
    rows = LostDay.objects.filter(
        recorded_by=person, cancelled_at__isnull=True, day__gte=today - LATE_BY
    )
    return list(rows.select_related("job").order_by("day", "pk"))


def _by_day(rows: Iterable[LostDay]) -> CalledOff:
    return CalledOff({(row.day, row.job_id): row for row in rows})


def last_published() -> datetime | None:
    """When the plan was changed last. One query."""
    return PlanHead.objects.values_list("published_at", flat=True).first()
