"""May we start? For many jobs at once, so that every page gives the same answer."""

from collections.abc import Iterable, Mapping, Sequence
from datetime import date, datetime

from jobs.domain.holds import Hold
from jobs.models import Job
from safety.domain.verdict import Morning, Verdict, verdict
from safety.queries.checks import last_checks
from safety.queries.days_work import DaysWork, days_work_of
from safety.queries.work import booked_on, called_off_on


def verdicts(
    found: Mapping[int, Sequence[Hold]],
    ahead: Mapping[int, Sequence[Hold]],
    jobs: Sequence[Job],
    day: date,
    at: datetime,
) -> dict[int, Verdict]:
    """The answer by job id, from the holds ``found`` and ``ahead``. Eight queries."""
    work = days_work_of(jobs, day, at)
    met = {
        job.pk: [*found.get(job.pk, ()), *in_the_way(ahead[job.pk], work[job.pk])]
        for job in jobs
    }
    return _answers(met, jobs, work, (day, at))


def verdict_of(
    found: Sequence[Hold], job: Job, work: DaysWork, day: date, at: datetime
) -> Verdict:
    """The answer for one job whose work of the day is known. Three queries."""
    return _answers({job.pk: found}, [job], {job.pk: work}, (day, at))[job.pk]


def in_the_way(ahead: Iterable[Hold], work: DaysWork) -> list[Hold]:
    """Hold points ahead that tasks of the day wait for and the day does not come to.

    Where the task that ends in the hold point is of the day too, it is measured before
    the others start, as every day; nothing is amiss in the morning.
    """
    today = {task.pk for task in work.today}
    return [
        hold
        for hold in ahead
        if hold.task_ids & today and not (hold.record and hold.record[1] in today)
    ]


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
