"""The base app's panels of the job page.

Places taken: dimensions 10, take-off 20, sequence 30, approvals 40, materials 70,
documents 80, ledger 90. Other apps put theirs between.
"""

from collections.abc import Iterator, Sequence

from django.http import HttpRequest
from django.utils import timezone

from jobs.domain.holds import Hold
from jobs.domain.roles import Can
from jobs.domain.takeoff import TakeOff
from jobs.models import Job, JobDimensions, Person
from jobs.panel_registry import Panel
from jobs.permissions import visible_documents, visible_ledger
from jobs.queries.approvals import approvals_on, with_ranges
from jobs.queries.clients import unknown_facts
from jobs.queries.drawings import drawing_of
from jobs.queries.facts import dimensions_and_take_off
from jobs.queries.firm import local_day
from jobs.queries.ledger import in_words
from jobs.queries.materials import bom_lines, columns_used, missing_from
from jobs.queries.materials import in_words as materials_in_words
from jobs.queries.sequence import sequence_of
from jobs.queries.take_offs import take_off_view

LEDGER_TAIL = 5


def panels(request: HttpRequest, job: Job, holds: Sequence[Hold]) -> Iterator[Panel]:
    """Panels for this person."""
    person = request.user
    assert isinstance(person, Person)
    dimensions, take_off = dimensions_and_take_off(job)
    yield _dimensions(job, dimensions)
    if take_off is not None:
        yield _take_off(take_off)
    yield _sequence(job, take_off)
    if _sees_office_work(person):
        yield _approvals(job, request)
        yield _materials(job, take_off)
    yield _documents(job, person)
    if _sees_office_work(person):
        yield _ledger(job, person)


def _sees_office_work(person: Person) -> bool:
    """Office, owner and site lead; a crew member has no use for it."""
    return person.can(Can.SEE_ALL_JOBS) or person.can(Can.RECEIVE_DELIVERIES)


def _dimensions(job: Job, dimensions: JobDimensions | None) -> Panel:
    shown = None
    if dimensions is not None:
        shown = drawing_of(job.structure_kind, dimensions.plain(), job.site)
    return Panel(
        key="dimensions",
        title="Dimensions and drawing",
        template="jobs/panels/dimensions.html",
        order=10,
        context={
            "dimensions": dimensions,
            "drawing": shown,
            "unknown": unknown_facts(job.site),
        },
    )


def _take_off(take_off: TakeOff) -> Panel:
    return Panel(
        key="take-off",
        title="Take-off",
        template="jobs/panels/take_off.html",
        order=20,
        context={"view": take_off_view(take_off)},
    )


def _sequence(job: Job, take_off: TakeOff | None) -> Panel:
    return Panel(
        key="sequence",
        title="Task sequence",
        template="jobs/panels/sequence.html",
        order=30,
        context={"tasks": sequence_of(job, take_off, called_for_only=True)},
    )


def _approvals(job: Job, request: HttpRequest) -> Panel:
    day = local_day(timezone.now(), request.firm)  # type: ignore[attr-defined]
    return Panel(
        key="approvals",
        title="Approvals",
        template="jobs/panels/approvals.html",
        order=40,
        context={"approvals": with_ranges(day, approvals_on(day, [job]))},
    )


def _materials(job: Job, take_off: TakeOff | None) -> Panel:
    lines = bom_lines(job)
    return Panel(
        key="materials",
        title="Materials",
        template="jobs/panels/materials.html",
        order=70,
        context={
            "lines": lines,
            "used": columns_used(lines),
            "in_words": materials_in_words(lines),
            "comparison": missing_from(lines, take_off),
        },
    )


def _documents(job: Job, person: Person) -> Panel:
    return Panel(
        key="documents",
        title="Documents",
        template="jobs/panels/documents.html",
        order=80,
        context={
            "documents": visible_documents(person).filter(job=job),
            "may_add": person.can(Can.EDIT_JOBS) or person.can(Can.RUN_SITE_DAY),
        },
    )


def _ledger(job: Job, person: Person) -> Panel:
    entries = visible_ledger(person, job).order_by("-number")[:LEDGER_TAIL]
    return Panel(
        key="ledger",
        title="Ledger",
        template="jobs/panels/ledger.html",
        order=90,
        context={"lines": in_words(entries)},
    )
