"""The toolbox talk of a day on one page: ask for it, open it."""

from datetime import date

from django.contrib import messages
from django.http import FileResponse, Http404, HttpResponse
from django.shortcuts import redirect
from django.utils import timezone
from django.views.decorators.http import require_POST, require_safe

from jobs.domain.refusals import Refused
from jobs.permissions import get_job
from jobs.views.pages import PersonRequest
from safety.queries.toolbox import made_talk, toolbox_of
from safety.services.toolbox import ask_for_talk


@require_POST
def talk_make(request: PersonRequest, pk: int, day: str) -> HttpResponse:
    """Make the page in the background; the page of the work shows how far it is."""
    job, on = get_job(request.user, pk), _day(day)
    try:
        run = ask_for_talk(job=job, day=on, actor=request.user, at=timezone.now())
    except Refused as refused:
        messages.error(request, " ".join(refused.reasons))
        return redirect("safety:site_day", pk, day)
    return redirect("jobs:run_detail", run.pk)


@require_safe
def talk_pdf(request: PersonRequest, pk: int, day: str) -> HttpResponse | FileResponse:
    """The page; the day on site when it is not made yet."""
    job, on = get_job(request.user, pk), _day(day)
    try:
        made = made_talk(toolbox_of(job, on, timezone.now()))
    except Refused as refused:
        messages.error(request, " ".join(refused.reasons))
        return redirect("safety:site_day", pk, day)
    if made is None:
        messages.info(request, "The toolbox talk is not made yet. Ask for it here.")
        return redirect("safety:site_day", pk, day)
    name = f"job-{job.number}-toolbox-talk-{day}.pdf"
    return FileResponse(made.file.open("rb"), filename=name)


def _day(text: str) -> date:
    try:
        return date.fromisoformat(text)
    except ValueError as error:
        raise Http404("There is no such day.") from error
