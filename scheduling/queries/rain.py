"""Days lost to rain: the firm's own, and what they say of days to come."""

from collections import Counter, defaultdict
from dataclasses import dataclass
from datetime import date, timedelta

from django.db.models import Min

from jobs.models import Firm, Job
from jobs.queries.firm import local_day
from scheduling.domain.sky import RAIN_ALLOWANCE, rain_chances
from scheduling.queries.calendar import calendar_between
from scheduling.queries.lost_days import lost_shares
from scheduling.queries.plan_choice import plan_choice

RAIN_LOOKED_BACK = timedelta(days=3 * 365)


@dataclass(frozen=True, slots=True)
class Rain:
    """Chance that a working day is lost, January first, and on how many any was."""

    chances: tuple[float, ...]
    lost_days: int


def rain_on(firm: Firm, today: date) -> Rain:
    """Chances of a day lost to weather by month, as known on a day. Five queries.

    A day called off for some jobs only counts for their share of the day's work.
    """
    opened = Job.objects.aggregate(first=Min("created_at"))["first"]
    since = local_day(opened, firm) if opened else today
    first = max(since, today - RAIN_LOOKED_BACK)
    shares = lost_shares(first, today)
    lost: dict[int, float] = defaultdict(float)  # days, by month
    for day, share in shares.items():
        lost[day.month] += share
    calendar = calendar_between(firm, first, today)
    worked = Counter(day.month for day in {slot.day for slot in calendar.slots})
    said = plan_choice().rain
    allowed = [n / 100 for n in said] if any(said) else [RAIN_ALLOWANCE] * 12
    return Rain(rain_chances(worked, lost, allowed), len(shares))
