"""Why a job is on its date."""

from django.http import HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_safe

from jobs.domain.roles import Can
from jobs.permissions import get_job
from jobs.queries import local_day
from jobs.views.pages import PersonRequest
from scheduling.forms.explained import StartForm
from scheduling.queries.explained import explained, why_not


@require_safe
def job_explained(request: PersonRequest, pk: int) -> HttpResponse:
    """What decides the job's date, what would help, and why not on another day."""
    job = get_job(request.user, pk, to=Can.SEE_SCHEDULE)
    now = timezone.now()
    asked = "day" in request.GET
    first = {"day": local_day(now, request.firm), "half": "am"}
    form = StartForm(request.GET if asked else None, initial=first)
    found = explained(job, request.firm, now)
    answers = []
    if asked and form.is_valid() and found.first_visit is not None:
        answers = why_not(found.plan, job, form.start(), form.crew_id())
    shown = {
        "job": job,
        "found": found,
        "form": form,
        "answers": answers,
        "start": form.start() if answers else None,
        "crumbs": [
            (str(job), reverse("jobs:job_detail", args=[job.pk])),
            ("Why this date", ""),
        ],
    }
    status = 422 if asked and not form.is_valid() else 200
    return render(request, "scheduling/job_explained.html", shown, status=status)
