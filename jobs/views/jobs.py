"""The list of jobs; open one, change it, close it."""

from django.contrib import messages
from django.core.paginator import Page
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_safe

from jobs.domain.roles import Can
from jobs.forms.jobs import CloseForm, JobFilter, JobForm, NewJobForm, ReopenForm
from jobs.models import Job
from jobs.permissions import get_job, require, visible_clients, visible_jobs
from jobs.queries.firm import local_day
from jobs.queries.handover import left_open
from jobs.queries.job_list import Asked, JobRow, job_rows, jobs_found, leads_of
from jobs.services.jobs import close_job, edit_job, open_job_at, reopen_job
from jobs.views.pages import (
    Crumbs,
    PersonRequest,
    form_page,
    page_of,
    refusals_in,
)


def job_crumbs(job: Job, last: str = "") -> Crumbs:
    """Where a page of a job is."""
    here = reverse("jobs:job_detail", args=[job.pk]) if last else ""
    crumbs = [("Jobs", reverse("jobs:job_list")), (str(job), here)]
    return [*crumbs, (last, "")] if last else crumbs


def asked_of(request: PersonRequest) -> tuple[JobFilter, Asked]:
    """The filter form of the list, and what it asks for."""
    form = JobFilter(
        request.GET or None,
        leads=leads_of(visible_jobs(request.user).open()),
        sees_all=request.user.can(Can.SEE_ALL_JOBS),
    )
    if not form.is_valid():
        return form, Asked()
    asked = {name: value for name, value in form.cleaned_data.items() if value}
    return form, Asked(**asked)


@require_safe
def job_list(request: PersonRequest) -> HttpResponse:
    """Jobs the person may see, a page at a time."""
    at = timezone.now()
    filters, asked = asked_of(request)
    page: Page[Job] = page_of(request, jobs_found(request.user, asked, at))
    rows: list[JobRow] = job_rows(page.object_list, at)
    shown = {
        "filters": filters,
        "page": page,
        "rows": rows,
        "asked": asked,
        "query": request.GET.urlencode(),
    }
    return render(request, "jobs/job_list.html", shown)


@require_http_methods(["GET", "POST"])
def job_add(request: PersonRequest) -> HttpResponse:
    """Open a job, with its client and site when they are new."""
    require(request.user, Can.EDIT_JOBS)
    form = NewJobForm(
        request.POST or None,
        clients=visible_clients(request.user),
        firm=request.firm,
        today=local_day(timezone.now(), request.firm),
        initial={name: request.GET.get(name) for name in ("client", "site")},
    )
    if form.is_valid():
        typed = form.cleaned_data
        with refusals_in(form):
            job = open_job_at(
                site=typed["site"],
                client=typed["client"],
                site_values=form.site_values(),
                client_values=form.client_values(),
                values=form.job_values(),
                method_key=typed["method"],
                actor=request.user,
                at=timezone.now(),
            )
            messages.success(
                request, f"Job {job.number} is open. Next: its dimensions."
            )
            return redirect("jobs:job_dimensions", job.pk)
    crumbs = [("Jobs", reverse("jobs:job_list")), ("Open a job", "")]
    return form_page(request, form, heading="Open a job", crumbs=crumbs)


@require_http_methods(["GET", "POST"])
def job_edit(request: PersonRequest, pk: int) -> HttpResponse:
    """Change title, lead, dates, weight or note."""
    job = get_job(request.user, pk, to=Can.EDIT_JOBS)
    crumbs = job_crumbs(job, "Change")
    today = local_day(timezone.now(), request.firm)
    form = JobForm(request.POST or None, instance=job, today=today)
    if form.is_valid():
        with refusals_in(form, job):
            edit_job(
                job=job,
                version=form.opened_version(),
                values=form.values(),
                actor=request.user,
                at=timezone.now(),
            )
            messages.success(request, "Saved.")
            return redirect("jobs:job_detail", pk)
    return form_page(request, form, heading="Change the job", crumbs=crumbs)


@require_http_methods(["GET", "POST"])
def job_close(request: PersonRequest, pk: int) -> HttpResponse:
    """Hand a job over, or call it off."""
    job = get_job(request.user, pk, to=Can.EDIT_JOBS)
    left = left_open(job, timezone.now()) if job.is_open else {}
    form = CloseForm(request.POST or None, something_open=bool(left))
    if form.is_valid():
        with refusals_in(form):
            close_job(
                job=job,
                how=Job.Closed(form.cleaned_data["how"]),
                note=form.cleaned_data["note"],
                reason=form.cleaned_data.get("reason", ""),
                actor=request.user,
                at=timezone.now(),
            )
            messages.success(request, f"Job {job.number} is closed.")
            return redirect("jobs:job_detail", pk)
    heading = f"Close job {job.number}"
    return form_page(
        request,
        form,
        heading=heading,
        crumbs=job_crumbs(job, "Close"),
        template="jobs/job_close.html",
        left=[(kind.value, rows) for kind, rows in left.items()],
    )


@require_http_methods(["GET", "POST"])
def job_reopen(request: PersonRequest, pk: int) -> HttpResponse:
    """Take a closed job up again."""
    job = get_job(request.user, pk, to=Can.EDIT_JOBS)
    form = ReopenForm(request.POST or None)
    if form.is_valid():
        with refusals_in(form):
            reopen_job(
                job=job,
                reason=form.cleaned_data["reason"],
                actor=request.user,
                at=timezone.now(),
            )
            messages.success(request, f"Job {job.number} is open again.")
            return redirect("jobs:job_detail", pk)
    heading = f"Open job {job.number} again"
    return form_page(
        request, form, heading=heading, crumbs=job_crumbs(job, "Open again")
    )
