"""Bring jobs and materials in from files: look first, then take all of it or nothing."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Any

from django.contrib import messages
from django.core import signing
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_safe

from jobs.domain.refusals import Refused
from jobs.domain.roles import Can
from jobs.domain.tables import Column, Fault, Row, Table
from jobs.forms import bom_rows, job_rows
from jobs.forms.materials import UploadForm
from jobs.permissions import get_job, require
from jobs.services.imports import import_jobs, import_lines
from jobs.spreadsheets import Format, read_table, write_table
from jobs.views.materials import bom_crumbs
from jobs.views.pages import Crumbs, PersonRequest, counted

GOOD_FOR_S = 60 * 60  # how long a look at a file may take before it is confirmed

Reader = Callable[[Sequence[Row]], tuple[list[Any], list[Fault]]]


@dataclass(frozen=True, slots=True)
class Intake:
    """One kind of file: its columns, how rows are read, and what is done with them."""

    heading: str
    lede: str
    crumbs: Crumbs
    columns: Sequence[Column]
    max_rows: int
    read: Reader
    take: Callable[[list[Any]], HttpResponse]
    templates: Sequence[tuple[str, str]]
    salt: str


@require_http_methods(["GET", "POST"])
def job_import(request: PersonRequest) -> HttpResponse:
    """Bring jobs in."""
    require(request.user, Can.EDIT_JOBS)

    def take(jobs: list[Any]) -> HttpResponse:
        at = timezone.now()
        state = request.firm.pack
        opened = import_jobs(jobs=jobs, state=state, actor=request.user, at=at)
        messages.success(request, f"Opened: {counted(len(opened), 'job')}.")
        return redirect("jobs:job_list")

    known = job_rows.known_now()
    intake = Intake(
        heading="Bring jobs in from a file",
        lede="All rows come in, or none. Nothing is kept before you say so.",
        crumbs=[("Jobs", reverse("jobs:job_list")), ("Bring jobs in", "")],
        columns=job_rows.COLUMNS,
        max_rows=job_rows.MAX_ROWS,
        read=lambda rows: job_rows.read_jobs(rows, known),
        take=take,
        templates=[
            ("a spreadsheet", reverse("jobs:job_import_template", args=["xlsx"])),
            ("CSV", reverse("jobs:job_import_template", args=["csv"])),
        ],
        salt=f"jobs.import.{request.user.pk}",
    )
    return _intake_page(request, intake)


@require_http_methods(["GET", "POST"])
def bom_import(request: PersonRequest, pk: int) -> HttpResponse:
    """Bring lines of a bill of materials in."""
    job = get_job(request.user, pk, to=Can.EDIT_MATERIALS)

    def take(lines: list[Any]) -> HttpResponse:
        at = timezone.now()
        added = import_lines(job=job, lines=lines, actor=request.user, at=at)
        messages.success(request, f"Added: {counted(len(added), 'line')}.")
        return redirect("jobs:bom", pk)

    intake = Intake(
        heading="Bring materials in from a file",
        lede=f"For {job}. The lines are added to the list; nothing is taken away.",
        crumbs=bom_crumbs(job, "Bring in a file"),
        columns=bom_rows.COLUMNS,
        max_rows=bom_rows.MAX_ROWS,
        read=bom_rows.read_lines,
        take=take,
        templates=[
            ("a spreadsheet", reverse("jobs:bom_import_template", args=["xlsx"])),
            ("CSV", reverse("jobs:bom_import_template", args=["csv"])),
        ],
        salt=f"bom.import.{pk}.{request.user.pk}",
    )
    return _intake_page(request, intake)


def _intake_page(request: PersonRequest, intake: Intake) -> HttpResponse:
    if request.method != "POST":
        return _page(request, intake, UploadForm())
    try:
        if "rows" in request.POST:
            return _confirmed(request, intake)
        return _looked_at(request, intake)
    except Refused as error:
        form = UploadForm()
        return _page(request, intake, form, reasons=list(error.reasons))


def _looked_at(request: PersonRequest, intake: Intake) -> HttpResponse:
    """What a file says: its faults, or its rows and a button to bring them in."""
    form = UploadForm(request.POST, request.FILES)
    if not form.is_valid():
        return _page(request, intake, form)
    table = read_table(form.upload(), intake.columns, max_rows=intake.max_rows)
    _, faults = intake.read(table.rows) if table.rows else ([], [])
    seen = {(fault.row, fault.title) for fault in table.faults}  # say each cell once
    fresh = [fault for fault in faults if (fault.row, fault.title) not in seen]
    faults = sorted([*table.faults, *fresh], key=lambda fault: fault.row)
    if faults:
        return _page(request, intake, UploadForm(), faults=faults)
    return _preview(request, intake, table)


def _preview(request: PersonRequest, intake: Intake, table: Table) -> HttpResponse:
    used = {key for row in table.rows for key, text in row.cells.items() if text}
    columns = [column for column in intake.columns if column.key in used]
    plain = [[row.number, dict(row.cells)] for row in table.rows]
    shown = {
        "intake": intake,
        "columns": columns,
        "lines": [
            (row.number, [row.cells.get(column.key, "") for column in columns])
            for row in table.rows
        ],
        "notes": table.notes,
        "signed": signing.dumps(plain, salt=intake.salt, compress=True),
        "crumbs": intake.crumbs,
    }
    return render(request, "jobs/import_preview.html", shown)


def _confirmed(request: PersonRequest, intake: Intake) -> HttpResponse:
    """Take the rows that were looked at; they are read again, as things may differ."""
    try:
        plain = signing.loads(
            request.POST["rows"], salt=intake.salt, max_age=GOOD_FOR_S
        )
    except signing.BadSignature as error:
        raise Refused("That took too long. Choose the file again.") from error
    found, faults = intake.read([Row(number, cells) for number, cells in plain])
    if faults:
        return _page(request, intake, UploadForm(), faults=faults)
    return intake.take(found)


def _page(
    request: PersonRequest,
    intake: Intake,
    form: UploadForm,
    *,
    faults: Sequence[Fault] = (),
    reasons: Sequence[str] = (),
) -> HttpResponse:
    refused = bool(faults or reasons or form.errors)
    shown = {
        "intake": intake,
        "form": form,
        "faults": faults,
        "reasons": reasons,
        "crumbs": intake.crumbs,
    }
    status = 422 if refused else 200
    return render(request, "jobs/import.html", shown, status=status)


@require_safe
def job_import_template(request: PersonRequest, kind: str) -> HttpResponse:
    """An empty file with the right columns."""
    require(request.user, Can.EDIT_JOBS)
    return table_answer("jobs", job_rows.COLUMNS, [], Format(kind), explain=True)


@require_safe
def bom_import_template(request: PersonRequest, kind: str) -> HttpResponse:
    """An empty file with the right columns."""
    require(request.user, Can.EDIT_MATERIALS)
    return table_answer("materials", bom_rows.COLUMNS, [], Format(kind), explain=True)


def table_answer(
    name: str,
    columns: Sequence[Column],
    rows: Sequence[dict[str, Any]],
    kind: Format,
    *,
    explain: bool = False,
) -> HttpResponse:
    """A table as a file to keep."""
    data = write_table(columns, rows, kind, explain=explain)
    response = HttpResponse(data, content_type=kind.media_type)
    response["Content-Disposition"] = f'attachment; filename="{name}.{kind.value}"'
    return response
