"""The ledger of a job and of the firm."""

from django.http import HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from jobs.domain.roles import Can
from jobs.models import LedgerDay
from jobs.permissions import get_job, require, require_any, visible_ledger
from jobs.queries.ledger import in_words
from jobs.views.jobs import job_crumbs
from jobs.views.pages import PersonRequest, page_of

DAYS_SHOWN = 10


@require_safe
def job_ledger(request: PersonRequest, pk: int) -> HttpResponse:
    """Everything recorded about a job, the newest first."""
    job = get_job(request.user, pk)
    require_any(request.user, Can.SEE_ALL_JOBS, Can.RUN_SITE_DAY)
    entries = visible_ledger(request.user, job).order_by("-number")
    page = page_of(request, entries)
    shown = {
        "job": job,
        "page": page,
        "lines": in_words(page.object_list),
        "crumbs": job_crumbs(job, "Ledger"),
    }
    return render(request, "jobs/job_ledger.html", shown)


@require_safe
def firm_ledger(request: PersonRequest) -> HttpResponse:
    """Everything recorded in the firm, and the roots of its days."""
    require(request.user, Can.SEE_LEDGER)
    entries = visible_ledger(request.user).order_by("-at", "-pk")
    page = page_of(request, entries)
    shown = {
        "page": page,
        "lines": in_words(page.object_list),
        "days": LedgerDay.objects.all()[:DAYS_SHOWN],
        "show_chain": True,
    }
    return render(request, "jobs/firm_ledger.html", shown)
