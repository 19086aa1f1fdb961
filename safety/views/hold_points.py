"""Measure a hold point."""

from django.contrib import messages
from django.http import Http404, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_http_methods

from jobs.domain.roles import Can
from jobs.permissions import get_task
from jobs.views.jobs import job_crumbs
from jobs.views.pages import PersonRequest, refusals_in
from safety.domain.measuring import Kind, kind_of, readings
from safety.forms.on_site import MeasureForm
from safety.permissions import leads, require_lead
from safety.queries.hold_points import measurements_of, spec_of
from safety.queries.set_out import expected_at
from safety.services.measurements import measure_hold_point


@require_http_methods(["GET", "POST"])
def hold_point_detail(request: PersonRequest, pk: int) -> HttpResponse:
    """What a hold point asks, what was measured, and a form for the lead."""
    task = get_task(request.user, pk)
    spec = spec_of(task)
    if spec is None:
        raise Http404("That task has no hold point.")
    kind, expected = kind_of(spec), expected_at(task, spec)
    runs = request.user.can(Can.RUN_SITE_DAY) and leads(request.user, task.job)
    form = MeasureForm(
        request.POST or None,
        readings=readings(kind, expected),
        looks=kind is Kind.LOOK or spec.tolerance_mm is None,
    )
    if request.method == "POST":
        require_lead(request.user, task.job)
    if form.is_valid():
        with refusals_in(form):
            row = measure_hold_point(
                task=task,
                values=form.values(),
                looks_right=form.looks_right_said(),
                note=form.cleaned_data["note"],
                actor=request.user,
                at=timezone.now(),
                device_at=None,
                client_uid=form.uid(),
            )
            if row.passed:
                messages.success(request, "Passed. The work that follows may go on.")
            else:
                messages.warning(request, "Not passed. What follows is on hold.")
            return redirect("safety:hold_point_detail", pk)
    shown = {
        "task": task,
        "job": task.job,
        "point": spec,
        "kind": kind.value,
        "tolerance": f"{spec.tolerance_mm:g}" if spec.tolerance_mm is not None else "",
        "expected": expected,
        "measurements": measurements_of(task),
        "form": form if runs and task.job.is_open else None,
        "crumbs": job_crumbs(task.job, "Hold point"),
    }
    status = 422 if form.is_bound else 200
    return render(request, "safety/hold_point.html", shown, status=status)
