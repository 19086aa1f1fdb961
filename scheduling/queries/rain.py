"""Days lost to rain: the firm's own, and what they say of days to come."""

from collections import Counter
from dataclasses import dataclass
from datetime import date, timedelta

from django.db.models import Min

from jobs.models import Firm, Job
from jobs.queries.firm import local_day
from scheduling.domain.sky import RAIN_ALLOWANCE, rain_chances
from scheduling.models import LostDay
from scheduling.queries.calendar import calendar_between
from scheduling.queries.plan_choice import plan_choice

RAIN_LOOKED_BACK = timedelta(days=3 * 365)


@dataclass(frozen=True, slots=True)
class Rain:
    """Chance that a working day is lost, January first, and how many were lost."""

    chances: tuple[float, ...]
    lost_days: int


def rain_on(firm: Firm, today: date) -> Rain:
    """Chances of a day lost to weather by month, as known on a day. Four queries.

    A day called off for one job counts like one called off for all, which is a little
    gloomy.
    """
    opened = Job.objects.aggregate(first=Min("created_at"))["first"]
    since = local_day(opened, firm) if opened else today
    first = max(since, today - RAIN_LOOKED_BACK)
    rows = LostDay.objects.filter(cancelled_at__isnull=True, day__range=(first, today))
    lost = Counter(day.month for day in set(rows.values_list("day", flat=True)))
    calendar = calendar_between(firm, first, today)
    worked = Counter(day.month for day in {slot.day for slot in calendar.slots})
    said = plan_choice().rain
    allowed = [n / 100 for n in said] if any(said) else [RAIN_ALLOWANCE] * 12
    return Rain(rain_chances(worked, lost, allowed), lost.total())
