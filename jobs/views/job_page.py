"""The whole job on one page."""

from django.http import HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_safe

from jobs.hold_registry import holds
from jobs.panel_registry import panels
from jobs.permissions import get_job
from jobs.queries.firm import local_day
from jobs.queries.holds import hold_rows
from jobs.queries.job_list import stages_at
from jobs.views.pages import PersonRequest


@require_safe
def job_detail(request: PersonRequest, pk: int) -> HttpResponse:
    """One job: what holds it, then the panels of every app."""
    job = get_job(request.user, pk)
    at = timezone.now()
    found = holds([job], at)[job.pk]
    shown = {
        "job": job,
        "stage": stages_at([job], at)[job.pk],
        "holds": hold_rows(sorted(found, key=lambda hold: not hold.stops_work())),
        "panels": panels(request, job, found),
        "now": at,
        "today": local_day(at, request.firm),
        "crumbs": [("Jobs", reverse("jobs:job_list")), (str(job), "")],
    }
    return render(request, "jobs/job_detail.html", shown)
