"""Holds of the day's weather: what the check that counts says against the firm's limits."""

from collections.abc import Iterator, Sequence
from datetime import datetime, timedelta

from jobs.domain.holds import Basis, Hold, Stops
from jobs.domain.roles import Role
from jobs.models import Firm, Job, Task
from safety.domain.exposures.heat import Load
from safety.domain.heat_limit import HeatLimit, read_words, too_hot
from safety.domain.obligations import CHECK_HEAT, CHECK_WIND
from safety.domain.wording import wind_words
from safety.models import DailyCheck
from safety.queries.heat import UNKNOWN_LOAD, limit_at, task_loads_at
from safety.queries.work import tasks_of_day

_NAMES_SHOWN = 4


def named(names: Sequence[str]) -> str:
    """Names as a list in a sentence, and how many more there are."""
    shown = [*names[:_NAMES_SHOWN]]
    if len(names) > _NAMES_SHOWN:
        shown.append(f"{len(names) - _NAMES_SHOWN} more")
    return shown[0] if len(shown) == 1 else f"{', '.join(shown[:-1])} and {shown[-1]}"


def weather_holds(
    checks: dict[int, DailyCheck], jobs: Sequence[Job], at: datetime, firm: Firm
) -> Iterator[Hold]:
    """Tasks of the day that the wind or the heat of the check stops. Seven queries.

    ``checks`` are those that count on one day, by job id.
    """
    read = [job for job in jobs if job.pk in checks and _has_figures(checks[job.pk])]
    if not read:
        return
    tasks = tasks_of_day(read, checks[read[0].pk].day, at)
    yield from _wind(read, checks, tasks)
    yield from _heat(read, checks, tasks, at, limit_at(at, firm))


def _has_figures(check: DailyCheck) -> bool:
    return bool(check.wind_gust_ms) or check.heat.is_read


def _wind(
    jobs: Sequence[Job], checks: dict[int, DailyCheck], tasks: dict[int, list[Task]]
) -> Iterator[Hold]:
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
            yield _weather_hold(
                check,
                [task for task, _ in over],
                rule=CHECK_WIND,
                says=f"Gusts of {wind_words(gust)} are above the firm's limit of "
                f"{wind_words(lowest)} for: {named([task.name for task, _ in over])}.",
                todo="wait for the wind to drop, then do the check again.",
            )


def _heat(
    jobs: Sequence[Job],
    checks: dict[int, DailyCheck],
    tasks: dict[int, list[Task]],
    at: datetime,
    limit: HeatLimit,
) -> Iterator[Hold]:
    if not limit.is_set:
        return
    hot = [
        job
        for job in jobs
        if any(too_hot(limit, checks[job.pk].heat, load) for load in Load)
    ]
    loads = task_loads_at(hot, at) if limit.uses_table else {}
    for job in hot:
        check, of_job = checks[job.pk], loads.get(job.pk, {})
        over = [
            task
            for task in tasks.get(job.pk, ())
            if too_hot(limit, check.heat, of_job.get(task.key, UNKNOWN_LOAD))
        ]
        if over:
            yield _weather_hold(
                check,
                over,
                rule=CHECK_HEAT,
                says=f"{read_words(limit, check.heat)} is above the firm's heat limit "
                f"for: {named([task.name for task in over])}. Work stops when "
                f"{limit.says}.",
                todo="wait until it is cooler, or measure the WBGT where people work, "
                "then do the check again.",
            )


def _weather_hold(
    check: DailyCheck, over: Sequence[Task], *, rule: str, says: str, todo: str
) -> Hold:
    return Hold(
        rule=rule,
        job_id=check.job_id,
        says=says,
        stops=frozenset({Stops.TASKS}),
        cleared_by=frozenset({Role.SITE_LEAD}),
        clear_by_doing=todo,
        basis=Basis.FIRM,
        since=check.device_at,
        forecast=check.day + timedelta(days=1),
        task_ids=frozenset(task.pk for task in over),
        record=("safety.daily_check", check.pk),
    )
