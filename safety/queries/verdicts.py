"""May we start? For many jobs at once, so that every page gives the same answer."""

from collections.abc import Mapping, Sequence
from datetime import date, datetime

from jobs.domain.holds import Hold
from jobs.models import Job
from safety.domain.verdict import Morning, Verdict, verdict
from safety.queries.checks import last_checks
from safety.queries.days_work import DaysWork, days_work_of
from safety.queries.work import booked_on, called_off_on


def verdicts(
    found: Mapping[int, Sequence[Hold]],
    jobs: Sequence[Job],
    day: date,
    at: datetime,
) -> dict[int, Verdict]:
    """The answer by job id, from the holds ``found``. Eight queries."""
    return _answers(found, jobs, days_work_of(jobs, day, at), (day, at))


def verdict_of(
    found: Sequence[Hold], job: Job, work: DaysWork, day: date, at: datetime
) -> Verdict:
    """The answer for one job whose work of the day is known. Three queries."""
    return _answers({job.pk: found}, [job], {job.pk: work}, (day, at))[job.pk]


def _answers(
    found: Mapping[int, Sequence[Hold]],
    jobs: Sequence[Job],
    work: Mapping[int, DaysWork],
    when: tuple[date, datetime],
) -> dict[int, Verdict]:
    day, at = when
    checks = last_checks(jobs, day, at)
    booked, off = booked_on(jobs, day), called_off_on(jobs, day, at)
    answers = {}
    for job in jobs:
        check = checks.get(job.pk)
        morning = Morning(
            tasks={task.pk: task.name for task in work[job.pk].today},
            outcome=check.outcome if check else "",
            note=check.note if check else "",
            booked=job.pk in booked,
            called_off=job.pk in off,
        )
        answers[job.pk] = verdict(found.get(job.pk, ()), morning)
    return answers
