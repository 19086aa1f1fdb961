"""The only doors to the base app's records: fetching is the check.

404 when the person may not see the record, 403 when they may see but not do. Which jobs
a person sees is said here and, for people a plan puts on a job, by the providers named in
``settings.JOB_SIGHT``.
"""

from collections.abc import Callable
from functools import cache
from typing import TypeVar
from uuid import UUID

from django.conf import settings
from django.core.exceptions import PermissionDenied
from django.db.models import Model, Q, QuerySet
from django.shortcuts import get_object_or_404
from django.utils.module_loading import import_string

from jobs.domain.roles import Can, who_can
from jobs.models import (
    Approval,
    BackgroundRun,
    BomLine,
    Client,
    Document,
    Job,
    JobQuerySet,
    LedgerEntry,
    Person,
    Site,
    Task,
    Ticket,
)

Sight = Callable[[Person], Q]


@cache
def _sights() -> tuple[Sight, ...]:
    return tuple(import_string(path) for path in settings.JOB_SIGHT)


def require(person: Person, capability: Can) -> None:
    """Let them pass, or raise PermissionDenied."""
    if not person.can(capability):
        raise PermissionDenied(_refusal(capability))


def require_any(person: Person, *capabilities: Can) -> None:
    """Let them pass when any of these is theirs, or raise PermissionDenied."""
    if not any(person.can(capability) for capability in capabilities):
        raise PermissionDenied(_refusal(capabilities[0]))


def _refusal(capability: Can) -> str:
    return (
        f"Your roles do not allow this: {capability.value}. "
        f"It is a part of {who_can(capability)}."
    )


def visible_jobs(person: Person) -> JobQuerySet:
    """Jobs this person may see, with client, site and lead."""
    jobs = Job.objects.select_related("client", "site", "site_lead")
    if person.can(Can.SEE_ALL_JOBS):
        return jobs
    seen = Q(site_lead=person)
    for sight in _sights():
        seen |= sight(person)
    return jobs.filter(pk__in=Job.objects.filter(seen).values("pk"))


def _need(person: Person, to: Can | None) -> None:
    if to is not None:
        require(person, to)


def get_job(person: Person, pk: int, *, to: Can | None = None) -> Job:
    """One job they may see, and may do ``to`` with."""
    job = get_object_or_404(visible_jobs(person), pk=pk)
    _need(person, to)
    return job


def get_task(person: Person, pk: int, *, to: Can | None = None) -> Task:
    """One task of a job they may see."""
    tasks = Task.objects.select_related("job__site", "job__client")
    return _of_visible_job(tasks, person, pk, to)


def may_record_hours(person: Person, job: Job) -> bool:
    """Whether they may say what tasks took: the office, and the lead of the job."""
    if person.can(Can.EDIT_JOBS):
        return True
    return job.site_lead_id == person.pk and person.can(Can.RUN_SITE_DAY)


def get_approval(person: Person, pk: int, *, to: Can | None = None) -> Approval:
    """One approval of a job they may see."""
    approvals = Approval.objects.select_related("job", "kind")
    return _of_visible_job(approvals, person, pk, to)


def get_bom_line(person: Person, pk: int, *, to: Can | None = None) -> BomLine:
    """One material line of a job they may see."""
    return _of_visible_job(BomLine.objects.select_related("job"), person, pk, to)


Row = TypeVar("Row", bound=Model)


def _of_visible_job(
    rows: QuerySet[Row], person: Person, pk: int, to: Can | None
) -> Row:
    row = get_object_or_404(rows, pk=pk, job__in=visible_jobs(person).values("pk"))
    _need(person, to)
    return row


def visible_documents(person: Person) -> QuerySet[Document]:
    """Files of jobs they may see, their own, and everything for the office."""
    documents = Document.objects.select_related("job", "uploaded_by")
    if person.can(Can.SEE_ALL_JOBS):
        return documents
    return documents.filter(
        Q(job__in=visible_jobs(person).values("pk"))
        | Q(pk__in=Ticket.objects.filter(person=person).values("evidence"))
        | Q(uploaded_by=person)
    )


def get_document(person: Person, pk: int) -> Document:
    """One file they may see."""
    return get_object_or_404(visible_documents(person), pk=pk)


def visible_clients(person: Person) -> QuerySet[Client]:
    """Clients: all for those who see all jobs, none for the others."""
    return (
        Client.objects.all() if person.can(Can.SEE_ALL_JOBS) else Client.objects.none()
    )


def get_client(person: Person, pk: int, *, to: Can | None = None) -> Client:
    """One client they may see."""
    client = get_object_or_404(visible_clients(person), pk=pk)
    _need(person, to)
    return client


def get_site(person: Person, pk: int, *, to: Can | None = None) -> Site:
    """One site of a client they may see."""
    sites = Site.objects.select_related("client")
    site = get_object_or_404(sites, pk=pk, client__in=visible_clients(person))
    _need(person, to)
    return site


def visible_people(person: Person) -> QuerySet[Person]:
    """Everybody for those who keep people's records, otherwise oneself."""
    if person.can(Can.EDIT_PEOPLE) or person.can(Can.EDIT_ROLES):
        return Person.objects.all()
    return Person.objects.filter(pk=person.pk)


def get_person(person: Person, pk: int, *, to: Can | None = None) -> Person:
    """One person they may see."""
    found = get_object_or_404(visible_people(person), pk=pk)
    _need(person, to)
    return found


def get_ticket(person: Person, pk: int, *, to: Can | None = None) -> Ticket:
    """One ticket of a person they may see."""
    tickets = Ticket.objects.select_related("person", "evidence")
    ticket = get_object_or_404(tickets, pk=pk, person__in=visible_people(person))
    _need(person, to)
    return ticket


def get_run(person: Person, pk: UUID) -> BackgroundRun:
    """A background run they asked for, or any run when they schedule."""
    runs = BackgroundRun.objects.select_related("job")
    if not person.can(Can.EDIT_SCHEDULE):
        runs = runs.filter(asked_by=person)
    return get_object_or_404(runs, pk=pk)


def visible_ledger(person: Person, job: Job | None = None) -> QuerySet[LedgerEntry]:
    """Ledger entries of one visible job, or of everything for the owner."""
    if job is None:
        require(person, Can.SEE_LEDGER)
        return LedgerEntry.objects.all()
    return LedgerEntry.objects.filter(chain=job.chain)
