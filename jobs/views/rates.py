"""Hours that come back from site, and the rates that follow them."""

from django.contrib import messages
from django.core.exceptions import PermissionDenied
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import (
    require_http_methods,
    require_POST,
    require_safe,
)

from jobs.domain.roles import Can
from jobs.forms.rates import HoursForm, RateForm
from jobs.permissions import get_job, may_record_hours, require, require_any
from jobs.queries.facts import current_take_off
from jobs.queries.firm import local_day
from jobs.queries.rates import hours_rows, rate_rows
from jobs.services.rates import decide_rate, record_hours
from jobs.views.pages import (
    PersonRequest,
    counted,
    form_page,
    refusals_as_messages,
    refusals_in,
)


@require_http_methods(["GET", "POST"])
def job_hours(request: PersonRequest, pk: int) -> HttpResponse:
    """What the tasks of a job took."""
    job = get_job(request.user, pk)
    if not may_record_hours(request.user, job):
        raise PermissionDenied("Your roles do not allow recording hours of this job.")
    take_off = current_take_off(job)
    rows = hours_rows(job, take_off) if take_off else []
    form = HoursForm(request.POST or None, rows=rows)
    if form.is_valid():
        with refusals_in(form):
            changed = record_hours(
                job=job, minutes=form.minutes(), actor=request.user, at=timezone.now()
            )
            says = f"Saved: hours of {counted(changed, 'task')}."
            messages.success(request, says if changed else "Nothing was changed.")
            return redirect("jobs:job_detail", pk)
    return form_page(
        request,
        form,
        template="jobs/job_hours.html",
        heading="Hours the tasks took",
        crumbs=[
            ("Jobs", reverse("jobs:job_list")),
            (str(job), reverse("jobs:job_detail", args=[pk])),
            ("Hours", ""),
        ],
        job=job,
        rows=rows,
    )


@require_safe
def rate_list(request: PersonRequest) -> HttpResponse:
    """Rates against the hours that came back."""
    require_any(request.user, Can.EDIT_LIBRARY, Can.SEE_COMPLIANCE)
    rows = rate_rows(local_day(timezone.now(), request.firm))
    waiting = [row for row in rows if row.waits]
    others = [row for row in rows if not row.waits]
    return render(
        request, "jobs/rate_list.html", {"waiting": waiting, "others": others}
    )


@require_POST
def rate_decide(request: PersonRequest) -> HttpResponse:
    """Accept a proposed rate, or keep the one in use."""
    require(request.user, Can.EDIT_LIBRARY)
    form = RateForm(request.POST)
    if form.is_valid():
        typed = form.cleaned_data
        with refusals_as_messages(request):
            decide_rate(
                kind=typed["kind"],
                proposed=typed["proposed"],
                accept=typed["accept"],
                actor=request.user,
                at=timezone.now(),
            )
            says = "Jobs opened from now on use the new rate."
            kept = "The rate stays as it is."
            messages.success(request, says if typed["accept"] else kept)
    else:
        messages.error(request, "Choose a rate on this page first.")
    return redirect("jobs:rate_list")
