"""The dimensions of a job, with the take-off beside them while typing."""

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_POST

from jobs.domain.roles import Can
from jobs.domain.takeoff import take_off
from jobs.forms.dimensions import DimensionsForm
from jobs.library import sections
from jobs.models import Job, JobDimensions
from jobs.permissions import get_job
from jobs.queries.drawings import drawing_of
from jobs.queries.take_offs import take_off_view
from jobs.services.jobs import set_dimensions
from jobs.views.jobs import job_crumbs
from jobs.views.pages import PersonRequest, form_page, refusals_in


def _form(
    request: PersonRequest, job: Job
) -> tuple[DimensionsForm, JobDimensions | None]:
    row = JobDimensions.objects.filter(job=job).first()
    form = DimensionsForm(
        request.POST or None,
        instance=row or JobDimensions(job=job),
        structure=job.structure_kind,
    )
    return form, row


@require_http_methods(["GET", "POST"])
def job_dimensions(request: PersonRequest, pk: int) -> HttpResponse:
    """Set or change the dimensions."""
    job = get_job(request.user, pk, to=Can.EDIT_JOBS)
    form, row = _form(request, job)
    if form.is_valid():
        with refusals_in(form, row):
            set_dimensions(
                job=job,
                version=form.opened_version() if row else None,
                dimensions=form.dimensions(),
                actor=request.user,
                at=timezone.now(),
            )
            messages.success(request, "The dimensions are set; the take-off follows.")
            return redirect("jobs:job_detail", pk)
    return form_page(
        request,
        form,
        heading="Dimensions",
        lede=f"{job}, {job.get_structure_display().lower()}",
        template="jobs/dimensions.html",
        crumbs=job_crumbs(job, "Dimensions"),
        preview_url=reverse("jobs:job_dimensions_preview", args=[pk]),
        **_worked_out(job, form, row),
    )


@require_POST
def job_dimensions_preview(request: PersonRequest, pk: int) -> HttpResponse:
    """What would follow from the dimensions as typed so far. A fragment."""
    job = get_job(request.user, pk, to=Can.EDIT_JOBS)
    form, row = _form(request, job)
    return render(request, "jobs/_dimensions_live.html", _worked_out(job, form, row))


def _worked_out(
    job: Job, form: DimensionsForm, row: JobDimensions | None
) -> dict[str, object]:
    """Take-off and drawing of what was typed, or of what is kept; or what is wrong."""
    if form.is_bound and not form.is_valid():
        problems = [
            f"{form[name].label}: {error}" if name in form.fields else str(error)
            for name, errors in form.errors.items()
            for error in errors
        ]
        return {"problems": problems, "live": None}
    if not form.is_bound and row is None:
        return {"problems": [], "live": None}
    dims = form.dimensions() if form.is_bound else form.instance.plain()
    kind = job.structure_kind
    worked = take_off(kind, dims, job.site.facts(), sections())
    return {
        "problems": [],
        "live": worked,
        "view": take_off_view(worked),
        "drawing": drawing_of(kind, dims, job.site),
    }
