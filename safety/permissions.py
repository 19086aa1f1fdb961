"""The only doors to safety's records: fetching is the check.

404 when the person may not see the record, 403 when they may see but not do. The day on
site belongs to the job's site lead and to the leads of the crews booked on it.
"""

from django.core.exceptions import PermissionDenied
from django.db.models import Q, QuerySet
from django.shortcuts import get_object_or_404

from jobs.domain.roles import Can
from jobs.models import Job, Person, Task
from jobs.permissions import get_job, get_task, require, visible_jobs
from safety.models import (
    Attendance,
    DailyCheck,
    Measurement,
    PlanEdit,
    Statement,
    StopWork,
    ToolItem,
    ToolTest,
)
from scheduling.models import Booking


def leads(person: Person, job: Job) -> bool:
    """Whether they lead this job: named for it, or lead of a crew booked on it."""
    if job.site_lead_id == person.pk:
        return True
    return Booking.objects.filter(
        visit__job=job, crew__lead=person, cancelled_at__isnull=True
    ).exists()


def require_lead(person: Person, job: Job) -> None:
    """Let the lead of this job pass, or raise PermissionDenied."""
    require(person, Can.RUN_SITE_DAY)
    if not leads(person, job):
        raise PermissionDenied("Only the site lead of this job may do this.")


def get_job_to_run(person: Person, pk: int) -> Job:
    """A job whose day on site they run."""
    job = get_job(person, pk)
    require_lead(person, job)
    return job


def get_task_to_run(person: Person, pk: int) -> Task:
    """A task of a job whose day on site they run."""
    task = get_task(person, pk)
    require_lead(person, task.job)
    return task


def visible_statements(person: Person) -> QuerySet[Statement]:
    """Statements of jobs they may see; versions dropped in review only for editors."""
    rows = Statement.objects.filter(
        job__in=visible_jobs(person).values("pk")
    ).select_related("job__client", "job__site", "job__site_lead")
    if person.can(Can.SEE_ALL_JOBS):
        return rows
    return rows.filter(issued_at__isnull=False)


def get_statement(person: Person, pk: int, *, to: Can | None = None) -> Statement:
    """One version they may see, and may do ``to`` with."""
    rows = visible_statements(person).select_related("reviewed_by", "issued_by")
    statement = get_object_or_404(rows, pk=pk)
    if to is not None:
        require(person, to)
    return statement


def require_consulting(person: Person, job: Job) -> None:
    """Let pass who may note a talk: who edits plans, and the lead of this job."""
    if not person.can(Can.EDIT_PLAN):
        require_lead(person, job)


def get_statement_to_consult(person: Person, pk: int) -> Statement:
    """A version they see and may note a talk about."""
    statement = get_statement(person, pk)
    require_consulting(person, statement.job)
    return statement


def get_plan_edit(person: Person, pk: int) -> PlanEdit:
    """A reviewer's change, for those who edit plans."""
    require(person, Can.EDIT_PLAN)
    rows = PlanEdit.objects.select_related("job__site", "job__client", "made_by")
    return get_object_or_404(rows, pk=pk, job__in=visible_jobs(person).values("pk"))


def get_check(person: Person, pk: int) -> DailyCheck:
    """A daily check of a job they may see."""
    rows = DailyCheck.objects.select_related(
        "job__site", "job__client", "checked_by", "photo", "statement"
    )
    return get_object_or_404(rows, pk=pk, job__in=visible_jobs(person).values("pk"))


def get_measurement(person: Person, pk: int) -> Measurement:
    """A measurement of a job they may see."""
    rows = Measurement.objects.select_related("task__job__site", "measured_by")
    jobs = visible_jobs(person).values("pk")
    return get_object_or_404(rows, pk=pk, task__job__in=jobs)


def get_attendance_to_run(person: Person, pk: int) -> Attendance:
    """A start of work of a job whose day on site they run."""
    rows = Attendance.objects.select_related("job", "person")
    jobs = visible_jobs(person).values("pk")
    row = get_object_or_404(rows, pk=pk, job__in=jobs)
    require_lead(person, row.job)
    return row


def get_stop(person: Person, pk: int, *, to: Can | None = None) -> StopWork:
    """A stop of a job they may see, and may do ``to`` with."""
    rows = StopWork.objects.select_related(
        "job__site", "job__client", "stopped_by", "released_by"
    )
    stop = get_object_or_404(rows, pk=pk, job__in=visible_jobs(person).values("pk"))
    if to is not None:
        require(person, to)
    return stop


def get_tool_item(person: Person, pk: int, *, to: Can | None = None) -> ToolItem:
    """A tool on the list, or once on it: for everybody who works with the firm."""
    rows = ToolItem.objects.select_related("added_by")
    item = get_object_or_404(rows if person.roles else rows.none(), pk=pk)
    if to is not None:
        require(person, to)
    return item


def get_tool_test(person: Person, pk: int) -> ToolTest:
    """A test of a tool, for those who write tests down."""
    require(person, Can.EDIT_LIBRARY)
    return get_object_or_404(ToolTest.objects.select_related("item"), pk=pk)


def get_signer(statement: Statement, pk: int) -> Person:
    """A person who may be signed on to a version: active, and one who signs at all."""
    rows = Person.objects.filter(is_active=True).filter(
        Q(is_crew=True) | Q(is_site_lead=True)
    )
    booked = Q(slots__booking__visit__job=statement.job_id)
    here = Q(attendances__job=statement.job_id)
    lead = Q(led_jobs=statement.job_id)
    return get_object_or_404(rows.filter(booked | here | lead).distinct(), pk=pk)
