"""Which other jobs come before some jobs in the order of their crews."""

from collections import defaultdict
from collections.abc import Collection
from datetime import date

from scheduling.models import Booking

_Start = tuple[date, str]
_EVER: _Start = (date.max, "")


def jobs_before(job_ids: Collection[int]) -> set[int]:
    """Open jobs whose booked work could push that of these jobs, these left out.

    Work that a crew does before theirs, what that waits for in its own job, and so on
    back. One query.
    """
    rows = _open_bookings()
    needed = dict.fromkeys(job_ids, _EVER)  # by job, up to which start its work matters
    reach: dict[int, _Start] = defaultdict(lambda: (date.min, ""))  # likewise by crew
    grew = True
    while grew:
        grew = False
        for job, crew, start in rows:
            if start <= needed.get(job, (date.min, "")) and start > reach[crew]:
                reach[crew] = start
                grew = True
        for job, crew, start in rows:
            if start < reach[crew] and start > needed.get(job, (date.min, "")):
                needed[job] = start
                grew = True
    return set(needed) - set(job_ids)


def _open_bookings() -> list[tuple[int, int, _Start]]:
    """Job, crew and start of what is booked and not all done."""
    rows = Booking.objects.filter(
        cancelled_at__isnull=True,
        visit__dropped_at__isnull=True,
        visit__tasks__done_at__isnull=True,
        visit__job__closed_at__isnull=True,
    ).values_list("visit__job_id", "crew_id", "start_on", "start_half")
    return [(job, crew, (day, half)) for job, crew, day, half in rows.distinct()]
