"""The owner's view: jobs by obligations over a period, and what went ahead wrongly."""

import csv
from codecs import BOM_UTF8
from collections.abc import Iterable, Iterator
from datetime import date, datetime
from itertools import chain
from zoneinfo import ZoneInfo

from django.core.paginator import Page
from django.http import Http404, HttpResponse, StreamingHttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_safe

from jobs.domain.roles import Can
from jobs.models import Firm, Job, JobQuerySet
from jobs.permissions import get_job, require, visible_jobs
from jobs.queries.firm import local_day
from jobs.queries.holds import hold_rows, record_url
from jobs.views.pages import Crumbs, PersonRequest, page_of
from safety.forms.compliance import PeriodForm
from safety.queries.breaches import Breach, breaches_between
from safety.queries.compliance import (
    COLUMNS,
    Period,
    columns,
    compliance_of,
    jobs_in,
    period,
)

CHUNK = 50  # jobs at a time in an export
MARK = BOM_UTF8.decode()  # without it a spreadsheet program takes UTF-8 for older text


def _asked(request: PersonRequest) -> tuple[PeriodForm, Period]:
    require(request.user, Can.SEE_COMPLIANCE)
    now = timezone.now()
    form = PeriodForm(request.GET or None, today=local_day(now, request.firm))
    return form, period(*form.days(), now, request.firm)


def _crumbs(last: str) -> Crumbs:
    return [("Compliance", reverse("safety:compliance")), (last, "")]


@require_safe
def compliance(request: PersonRequest) -> HttpResponse:
    """Jobs by obligations."""
    form, span = _asked(request)
    page: Page[Job] = page_of(request, jobs_in(visible_jobs(request.user), span))
    asked = columns()
    shown = {
        "form": form,
        "span": span,
        "columns": asked,
        "rows": compliance_of(page.object_list, span, asked),
        "page": page,
        "query": request.GET.urlencode(),
    }
    return render(request, "safety/compliance.html", shown)


@require_safe
def compliance_cell(request: PersonRequest, pk: int, obligation: str) -> HttpResponse:
    """One cell with the records behind it."""
    form, span = _asked(request)
    job = get_job(request.user, pk)
    column = next((one for one in COLUMNS if one.value == obligation), None)
    if column is None:
        raise Http404("There is no such obligation.")
    (row,) = compliance_of([job], span)
    cell = next(cell for cell in row.cells if cell.obligation is column)
    shown = {
        "job": job,
        "cell": cell,
        "span": span,
        "form": form,
        "breaches": [
            _with_links(breach, {job.pk: job}, span.today) for breach in cell.breaches
        ],
        "open": hold_rows(cell.open_holds),
        "proofs": [(proof, record_url(proof.record)) for proof in cell.proofs],
        "crumbs": _crumbs(f"{job}: {column.heading}"),
    }
    return render(request, "safety/compliance_cell.html", shown)


@require_safe
def breaches(request: PersonRequest) -> HttpResponse:
    """What went ahead that should not have."""
    form, span = _asked(request)
    looked = breaches_between(None, span.first, span.last, span.firm)
    page: Page[Breach] = page_of(request, looked.breaches)
    jobs = _jobs_of(request, page.object_list)
    shown = {
        "form": form,
        "span": span,
        "page": page,
        "rows": [_with_links(breach, jobs, span.today) for breach in page.object_list],
        "unjudged": looked.unjudged,
        "query": request.GET.urlencode(),
        "crumbs": _crumbs("Breaches"),
    }
    return render(request, "safety/breaches.html", shown)


def _jobs_of(request: PersonRequest, found: Iterable[Breach]) -> dict[int, Job]:
    wanted = {breach.job_id for breach in found}
    return visible_jobs(request.user).in_bulk(wanted)


def _with_links(breach: Breach, jobs: dict[int, Job], today: date) -> dict[str, object]:
    return {
        "breach": breach,
        "says": breach.says_on(today),
        "job": jobs.get(breach.job_id),
        "url": _url_behind(breach),
    }


def _url_behind(breach: Breach) -> str:
    """The record behind a breach; of a day on site, that day and not today's."""
    record = breach.hold.record
    if record is not None and record[0] == "safety.site_day":
        return reverse("safety:site_day", args=[record[1], breach.day.isoformat()])
    return record_url(record)


class _Echo:
    """A file that hands back what is written to it."""

    def write(self, value: str) -> str:
        """The line itself."""
        return value


def _csv(
    name: str, rows: Iterable[Iterable[object]], firm: Firm
) -> StreamingHttpResponse:
    writer, zone = csv.writer(_Echo()), ZoneInfo(firm.time_zone)
    response = StreamingHttpResponse(
        chain(
            [MARK],
            (writer.writerow([_plain(value, zone) for value in row]) for row in rows),
        ),
        content_type="text/csv; charset=utf-8",
    )
    response.headers["Content-Disposition"] = f'attachment; filename="{name}"'
    return response


def _plain(value: object, zone: ZoneInfo) -> object:
    """ISO for days and moments; nothing that a spreadsheet would run as a formula."""
    if isinstance(value, datetime):
        return value.astimezone(zone).isoformat(timespec="minutes")
    if isinstance(value, date):
        return value.isoformat()
    if isinstance(value, str) and value[:1] in ("=", "+", "-", "@", "\t"):
        return f"'{value}"
    return value


@require_safe
def compliance_csv(request: PersonRequest) -> StreamingHttpResponse:
    """The whole table, a row for each job and obligation."""
    _, span = _asked(request)
    rows = _table(jobs_in(visible_jobs(request.user), span), span)
    return _csv(f"compliance-{span.first}-{span.last}.csv", rows, span.firm)


def _table(jobs: JobQuerySet, span: Period) -> Iterator[list[object]]:
    yield ["Job", "Title", "From", "To", "Obligation", "State", "What it says"]
    pks = list(jobs.values_list("pk", flat=True))
    asked = columns()
    for start in range(0, len(pks), CHUNK):
        chunk = jobs.filter(pk__in=pks[start : start + CHUNK])
        for row in compliance_of(chunk, span, asked):
            for cell in row.cells:
                yield [
                    row.job.number,
                    row.job.title,
                    span.first,
                    span.last,
                    cell.obligation.heading,
                    cell.state.word,
                    cell.says,
                ]


@require_safe
def breaches_csv(request: PersonRequest) -> StreamingHttpResponse:
    """All breaches of the period, a row each."""
    _, span = _asked(request)
    looked = breaches_between(None, span.first, span.last, span.firm)
    jobs = _jobs_of(request, looked.breaches)
    rows = _breach_rows(looked.breaches, jobs, span.today)
    return _csv(f"breaches-{span.first}-{span.last}.csv", rows, span.firm)


def _breach_rows(
    found: Iterable[Breach], jobs: dict[int, Job], today: date
) -> Iterator[list[object]]:
    yield [
        "Job",
        "Title",
        "Day",
        "First time",
        "Obligation",
        "What was open",
        "Basis",
        "What went ahead",
    ]
    for breach in found:
        job = jobs.get(breach.job_id)
        yield [
            job.number if job else breach.job_id,
            job.title if job else "",
            breach.day,
            breach.moment,
            breach.obligation.heading,
            breach.says_on(today),
            breach.hold.basis,
            breach.what,
        ]
