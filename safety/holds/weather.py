"""Holds of the day's weather, from the check that counts, and the firm's limits."""

from collections.abc import Iterator, Sequence
from datetime import datetime, timedelta

from jobs.domain.holds import Basis, Hold, Stops
from jobs.domain.roles import Role
from jobs.models import Job
from safety.domain.obligations import CHECK_WIND
from safety.domain.wording import wind_words
from safety.models import DailyCheck
from safety.queries.work import tasks_of_day

_NAMES_SHOWN = 4


def named(names: Sequence[str]) -> str:
    """Names as a list in a sentence, and how many more there are."""
    shown = [*names[:_NAMES_SHOWN]]
    if len(names) > _NAMES_SHOWN:
        shown.append(f"{len(names) - _NAMES_SHOWN} more")
    return shown[0] if len(shown) == 1 else f"{', '.join(shown[:-1])} and {shown[-1]}"


def wind_holds(
    jobs: Sequence[Job], checks: dict[int, DailyCheck], at: datetime
) -> Iterator[Hold]:
    """Tasks of the day that bear less wind than the check says. Two queries."""
    if not jobs:
        return
    day = checks[jobs[0].pk].day
    tasks = tasks_of_day(jobs, day, at)
    for job in jobs:
        check = checks[job.pk]
        gust = check.wind_gust_ms or 0.0
        over = [
            (task, limit)
            for task in tasks.get(job.pk, ())
            if (limit := task.spec.get("wind_limit_ms")) is not None and gust > limit
        ]
        if over:
            lowest = min(limit for _, limit in over)
            yield Hold(
                rule=CHECK_WIND,
                job_id=job.pk,
                says=f"Gusts of {wind_words(gust)} are above the firm's limit of "
                f"{wind_words(lowest)} for: {named([task.name for task, _ in over])}.",
                stops=frozenset({Stops.TASKS}),
                cleared_by=frozenset({Role.SITE_LEAD}),
                clear_by_doing="wait for the wind to drop, then do the check again.",
                basis=Basis.FIRM,
                since=check.device_at,
                forecast=day + timedelta(days=1),
                task_ids=frozenset(task.pk for task, _ in over),
                record=("safety.daily_check", check.pk),
            )
