"""How much of each past day was lost to weather."""

from collections import defaultdict
from datetime import date

from scheduling.models import BookedDay, LostDay


def lost_shares(first: date, last: date) -> dict[date, float]:
    """By day called off, the share of that day's work that was, 0 to 1. Two queries.

    A day called off for everybody is lost whole. One called off for some jobs is lost
    as far as they are among the jobs whose work rain could have stopped that day.
    """
    called: dict[date, set[int | None]] = defaultdict(set)
    rows = LostDay.objects.filter(cancelled_at__isnull=True, day__range=(first, last))
    for day, job in rows.values_list("day", "job_id"):
        called[day].add(job)
    booked: dict[date, set[int | None]] = defaultdict(set)
    days = BookedDay.objects.filter(
        day__in=called,
        dropped_at__isnull=True,
        booking__cancelled_at__isnull=True,
        booking__visit__stops_in_rain=True,
    )
    for day, job in days.values_list("day", "booking__visit__job_id"):
        booked[day].add(job)
    return {
        day: 1.0 if None in jobs else len(jobs) / len(jobs | booked[day])
        for day, jobs in called.items()
    }
