"""Lists as files, with ISO dates."""

from typing import Any

from django.http import HttpResponse
from django.utils import timezone
from django.views.decorators.http import require_safe

from jobs.domain.roles import Can
from jobs.domain.tables import Column
from jobs.domain.takeoff import PIECES
from jobs.forms import bom_rows
from jobs.permissions import get_job, require_any
from jobs.queries.job_list import JobRow, job_rows, jobs_found
from jobs.queries.materials import bom_lines
from jobs.spreadsheets import Format
from jobs.views.imports import table_answer
from jobs.views.jobs import asked_of
from jobs.views.pages import PersonRequest

JOB_COLUMNS = (
    Column("number", "Number"),
    Column("title", "Title"),
    Column("structure", "Structure"),
    Column("client", "Client"),
    Column("address", "Street and number"),
    Column("suburb", "Suburb"),
    Column("lead", "Site lead"),
    Column("stage", "Stage"),
    Column("wanted_on", "Wanted by"),
    Column("promised_on", "Promised by"),
    Column("holds", "Holds"),
    Column("first_hold", "First hold"),
)


@require_safe
def job_export(request: PersonRequest, kind: str) -> HttpResponse:
    """The list of jobs as it is filtered, all pages."""
    at = timezone.now()
    _, asked = asked_of(request)
    rows = job_rows(jobs_found(request.user, asked, at), at)
    return table_answer("jobs", JOB_COLUMNS, [_job(row) for row in rows], Format(kind))


def _job(row: JobRow) -> dict[str, Any]:
    job, first = row.job, row.first_hold
    return {
        "number": job.number,
        "title": job.title,
        "structure": job.get_structure_display(),
        "client": job.client.name,
        "address": job.site.address,
        "suburb": job.site.suburb,
        "lead": job.site_lead.name if job.site_lead else "",
        "stage": row.stage.value,
        "wanted_on": job.wanted_on,
        "promised_on": job.promised_on,
        "holds": len(row.holds),
        "first_hold": first.says if first else "",
    }


@require_safe
def bom_export(request: PersonRequest, pk: int, kind: str) -> HttpResponse:
    """The bill of materials, in the columns that can be brought in again."""
    job = get_job(request.user, pk)
    require_any(request.user, Can.SEE_ALL_JOBS, Can.RECEIVE_DELIVERIES)
    rows = [
        {
            "description": line.description,
            "part": PIECES.get(line.part, line.part),
            "quantity": line.quantity,
            "unit": line.unit,
            "length_m": line.length_m,
            "code": line.code,
            "note": line.note,
        }
        for line in bom_lines(job)
    ]
    name = f"materials-{job.number}"
    return table_answer(name, bom_rows.COLUMNS, rows, Format(kind))
