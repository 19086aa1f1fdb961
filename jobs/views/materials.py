"""The bill of materials of a job."""

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import (
    require_http_methods,
    require_POST,
    require_safe,
)

from jobs.domain.refusals import Refused
from jobs.domain.roles import Can
from jobs.forms.materials import BomLineForm
from jobs.models import Job
from jobs.permissions import get_bom_line, get_job, require_any
from jobs.queries.facts import current_take_off
from jobs.queries.materials import bom_lines, columns_used, missing_from
from jobs.services.materials import (
    add_lines,
    edit_line,
    fill_from_take_off,
    remove_line,
)
from jobs.views.jobs import job_crumbs
from jobs.views.pages import (
    Crumbs,
    PersonRequest,
    confirm_page,
    counted,
    form_page,
    refusals_as_messages,
    refusals_in,
)


def bom_crumbs(job: Job, last: str) -> Crumbs:
    """Where a page of a bill of materials is."""
    materials = ("Materials", reverse("jobs:bom", args=[job.pk]))
    return [*job_crumbs(job, last)[:-1], materials, (last, "")]


@require_safe
def bom(request: PersonRequest, pk: int) -> HttpResponse:
    """The list with what can be done to it."""
    job = get_job(request.user, pk, to=Can.EDIT_MATERIALS)
    lines = bom_lines(job)
    shown = {
        "job": job,
        "lines": lines,
        "used": columns_used(lines),
        "comparison": missing_from(lines, current_take_off(job)),
        "crumbs": job_crumbs(job, "Materials"),
    }
    return render(request, "jobs/bom.html", shown)


@require_http_methods(["GET", "POST"])
def bom_line_add(request: PersonRequest, pk: int) -> HttpResponse:
    """Add one line."""
    job = get_job(request.user, pk, to=Can.EDIT_MATERIALS)
    form = BomLineForm(request.POST or None)
    if form.is_valid():
        with refusals_in(form):
            add_lines(
                job=job, lines=[form.values()], actor=request.user, at=timezone.now()
            )
            messages.success(request, f"{form.cleaned_data['description']} is added.")
            return redirect("jobs:bom", pk)
    return form_page(
        request, form, heading="Add a line", crumbs=bom_crumbs(job, "Add a line")
    )


@require_http_methods(["GET", "POST"])
def bom_line_edit(request: PersonRequest, pk: int) -> HttpResponse:
    """Change one line."""
    line = get_bom_line(request.user, pk, to=Can.EDIT_MATERIALS)
    crumbs = bom_crumbs(line.job, line.description)
    form = BomLineForm(request.POST or None, instance=line)
    if form.is_valid():
        with refusals_in(form, line):
            edit_line(
                line=line,
                version=form.opened_version(),
                values=form.values(),
                actor=request.user,
                at=timezone.now(),
            )
            messages.success(request, "Saved.")
            return redirect("jobs:bom", line.job_id)
    return form_page(request, form, heading="Change a line", crumbs=crumbs)


@require_http_methods(["GET", "POST"])
def bom_line_remove(request: PersonRequest, pk: int) -> HttpResponse:
    """Take one line out."""
    line = get_bom_line(request.user, pk, to=Can.EDIT_MATERIALS)
    back = reverse("jobs:bom", args=[line.job_id])
    reasons: tuple[str, ...] = ()
    if request.method == "POST":
        try:
            remove_line(line=line, actor=request.user, at=timezone.now())
        except Refused as error:
            reasons = error.reasons
        else:
            messages.success(request, f"{line.description} is off the list.")
            return redirect(back)
    return confirm_page(
        request,
        says=f"Take “{line.description}” off the list of {line.job}?",
        button="Take it off",
        back=back,
        reasons=reasons,
        crumbs=bom_crumbs(line.job, "Take off"),
    )


@require_POST
def bom_fill(request: PersonRequest, pk: int) -> HttpResponse:
    """Add a line for every piece of the take-off that the list does not have."""
    job = get_job(request.user, pk, to=Can.EDIT_MATERIALS)
    with refusals_as_messages(request):
        added = fill_from_take_off(job=job, actor=request.user, at=timezone.now())
        says = (
            f"Added: {counted(len(added), 'line')}. Next: order them, from the job’s page."
            if added
            else "Nothing was missing."
        )
        messages.success(request, says)
    return redirect("jobs:bom", pk)


@require_safe
def bom_compare(request: PersonRequest, pk: int) -> HttpResponse:
    """What the take-off needs and the list does not have."""
    job = get_job(request.user, pk)
    require_any(request.user, Can.SEE_ALL_JOBS, Can.RECEIVE_DELIVERIES)
    comparison = missing_from(bom_lines(job), current_take_off(job))
    shown = {
        "job": job,
        "comparison": comparison,
        "crumbs": job_crumbs(job, "Compared with the take-off"),
    }
    return render(request, "jobs/bom_compare.html", shown)
