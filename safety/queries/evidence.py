"""Evidence that work went ahead, and what was open at each such moment."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, datetime
from zoneinfo import ZoneInfo

from django.db.models import Exists, F, OuterRef, Q, QuerySet
from django.db.models.functions import TruncDate

from jobs.models import ApprovalEvent, Firm, Job, Task, Ticket
from jobs.queries.firm import local_day
from safety.models import (
    Attendance,
    DailyCheck,
    JudgedMoment,
    Measurement,
    SignOn,
    StopWork,
    ToolTest,
)
from safety.queries.work import day_limits

Key = tuple[int, datetime]  # job id, moment


@dataclass(frozen=True, slots=True)
class Evidence:
    """Something that shows that somebody worked."""

    job_id: int
    moment: datetime
    day: date
    what: str
    who: str
    record: tuple[str, int]
    task_id: int | None = None


def evidence_between(
    jobs: Iterable[Job] | None, first: date, last: date, firm: Firm
) -> list[Evidence]:
    """Work of these jobs (None: of all) between two days, in order. Four queries."""
    within = {} if jobs is None else {"job__in": list(jobs)}
    start, end = day_limits(first, firm)[0], day_limits(last, firm)[1]
    found = [
        *_attendances(within, first, last),
        *_checks(within, first, last),
        *_tasks(within, "started_at", "Task started", start, end, firm),
        *_tasks(within, "done_at", "Task done", start, end, firm),
    ]
    return sorted(found, key=lambda row: (row.moment, row.job_id, row.what))


def _attendances(
    within: dict[str, list[Job]], first: date, last: date
) -> list[Evidence]:
    rows = Attendance.objects.filter(
        day__range=(first, last), taken_back_at__isnull=True, **within
    )
    return [
        Evidence(job, moment, day, "Started work", who, ("safety.attendance", pk))
        for pk, job, moment, day, who in rows.values_list(
            "pk", "job_id", "device_at", "day", "person__name"
        )
    ]


def _checks(within: dict[str, list[Job]], first: date, last: date) -> list[Evidence]:
    rows = DailyCheck.objects.filter(day__range=(first, last), **within).exclude(
        outcome=DailyCheck.Outcome.NO_GO
    )
    return [
        Evidence(job, moment, day, "Said go", who, ("safety.daily_check", pk))
        for pk, job, moment, day, who in rows.values_list(
            "pk", "job_id", "device_at", "day", "checked_by__name"
        )
    ]


def _tasks(
    within: dict[str, list[Job]],
    column: str,
    what: str,
    start: datetime,
    end: datetime,
    firm: Firm,
) -> list[Evidence]:
    rows = Task.objects.filter(
        **{f"{column}__gte": start, f"{column}__lt": end}, **within
    )
    return [
        Evidence(
            job_id=job,
            moment=moment,
            day=local_day(moment, firm),
            what=what,
            who=name,
            record=("jobs.task", pk),
            task_id=pk,
        )
        for pk, job, moment, name in rows.values_list("pk", "job_id", column, "name")
    ]


def judged_between(
    jobs: Iterable[Job] | None, first: date, last: date, firm: Firm
) -> dict[Key, JudgedMoment]:
    """What was open at each judged moment between two days. One query."""
    rows = _moments(first, last, firm)
    if jobs is not None:
        rows = rows.filter(job__in=list(jobs))
    return {(row.job_id, row.at): row for row in rows}


def _moments(first: date, last: date, firm: Firm) -> QuerySet[JudgedMoment]:
    start, end = day_limits(first, firm)[0], day_limits(last, firm)[1]
    return JudgedMoment.objects.filter(at__gte=start, at__lt=end)


def known_too_early(first: date, last: date, firm: Firm) -> set[Key]:
    """Judged moments of which a record arrived later that speaks of before. One query."""
    after = {"job": OuterRef("job"), "at__gt": OuterRef("as_known_at")}
    on_site = {"device_at__lte": OuterRef("at")}
    day = OuterRef("day")
    late = [
        Attendance.objects.filter(**after, **on_site),
        DailyCheck.objects.filter(**after, **on_site),
        SignOn.objects.filter(
            statement__job=OuterRef("job"), at__gt=OuterRef("as_known_at"), **on_site
        ),
        StopWork.objects.filter(**after, **on_site),
        Measurement.objects.filter(
            task__job=OuterRef("job"), at__gt=OuterRef("as_known_at"), **on_site
        ),
        ApprovalEvent.objects.filter(
            approval__job=OuterRef("job"),
            recorded_at__gt=OuterRef("as_known_at"),
            happened_on__lte=day,
        ),
        Ticket.objects.filter(
            Q(issued_on__isnull=True) | Q(issued_on__lte=day),
            recorded_at__gt=OuterRef("as_known_at"),
        ),
        ToolTest.objects.filter(tested_on__lte=day, at__gt=OuterRef("as_known_at")),
    ]
    condition = Q()
    for rows in late:
        condition |= Q(Exists(rows))
    local_day_of_moment = TruncDate("at", tzinfo=ZoneInfo(firm.time_zone))
    rows = _moments(first, last, firm).annotate(day=local_day_of_moment)
    found = rows.filter(condition)
    return set(found.values_list("job_id", F("at")))
