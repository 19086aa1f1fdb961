"""Measure a hold point."""

from django.contrib import messages
from django.http import Http404, HttpResponse
from django.shortcuts import render
from django.utils import timezone
from django.views.decorators.http import require_http_methods

from jobs.domain.roles import Can
from jobs.permissions import get_task
from jobs.views.pages import PersonRequest, gone_to, refusals_in
from safety.domain.measuring import Kind, kind_of, readings
from safety.forms.hold_points import MeasureForm
from safety.permissions import leads, require_lead
from safety.queries.hold_points import aside_of, measurements_of, readings_of, spec_of
from safety.queries.set_out import expected_at
from safety.services.measurements import measure_hold_point
from safety.views.site_day import day_crumbs


@require_http_methods(["GET", "POST"])
def hold_point_detail(request: PersonRequest, pk: int) -> HttpResponse:
    """What a hold point asks, what was measured, and a form for the lead."""
    task, at = get_task(request.user, pk), timezone.now()
    spec = spec_of(task)
    if spec is None:
        raise Http404("That task has no hold point.")
    kind, expected = kind_of(spec), expected_at(task, spec)
    runs = request.user.can(Can.RUN_SITE_DAY) and leads(request.user, task.job)
    asked = readings(kind, expected)
    form = MeasureForm(
        request.POST or None,
        readings=asked,
        looks=kind is Kind.LOOK or spec.tolerance_mm is None,
        expected=expected if kind is Kind.FALL else (),
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
                at=at,
                device_at=form.first_sent_at(at),
                client_uid=form.uid(),
            )
            _say(request, row.passed, aside_of(spec, row, expected))
            return gone_to(request, "safety:hold_point_detail", pk)
    rows = measurements_of(task)
    shown = {
        "task": task,
        "job": task.job,
        "point": spec,
        "kind": kind.value,
        "tolerance": f"{spec.tolerance_mm:g}" if spec.tolerance_mm is not None else "",
        "expected": expected,
        "measurements": [(row, readings_of(row, asked)) for row in rows],
        "last": rows[0] if rows else None,
        "aside": aside_of(spec, rows[0], expected) if rows else "",
        "form": form if runs and task.job.is_open else None,
        "crumbs": day_crumbs(task.job, "Hold point"),
    }
    status = 422 if form.is_bound else 200
    return render(request, "safety/hold_point.html", shown, status=status)


def _say(request: PersonRequest, passed: bool, aside: str) -> None:
    if not passed:
        messages.warning(request, "Not passed. What follows is on hold.")
    elif aside:
        messages.warning(request, "Passed, but look at the figures below first.")
    else:
        messages.success(request, "Passed. The work that follows may go on.")
