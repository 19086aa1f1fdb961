"""Stop work, look at what stopped it, and release it."""

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_safe

from jobs.domain.roles import Can
from jobs.permissions import get_job
from jobs.queries.firm import local_day
from jobs.views.jobs import job_crumbs
from jobs.views.pages import PersonRequest, form_page, gone_to, refusals_in
from safety.forms.stop_work import ReleaseForm, StopForm
from safety.models import StopWork
from safety.permissions import get_stop
from safety.queries.stops import after_an_incident
from safety.services.stop_work import release_work, stop_work
from safety.views.site_day import day_crumbs


@require_http_methods(["GET", "POST"])
def stop_work_add(request: PersonRequest, pk: int) -> HttpResponse:
    """Stop all work on a job."""
    job, at = get_job(request.user, pk, to=Can.REPORT), timezone.now()
    form = StopForm(request.POST or None)
    if form.is_valid():
        with refusals_in(form):
            stop = stop_work(
                job=job,
                kind=StopWork.Kind(form.cleaned_data["kind"]),
                what=form.cleaned_data["what"],
                actor=request.user,
                at=at,
                device_at=form.first_sent_at(at),
                client_uid=form.uid(),
            )
            messages.warning(
                request, "Work is stopped. The office and the owner see it."
            )
            return gone_to(request, "safety:stop_work_detail", stop.pk)
    return form_page(
        request,
        form,
        template="safety/stop_work_add.html",
        heading="Stop work",
        job=job,
        crumbs=day_crumbs(job, "Stop work"),
    )


@require_safe
def stop_work_detail(request: PersonRequest, pk: int) -> HttpResponse:
    """What stopped work, what to do about it, and how it was released."""
    stop = get_stop(request.user, pk)
    shown = {
        "stop": stop,
        "job": stop.job,
        "asked_by_law": after_an_incident(
            request.firm, local_day(stop.device_at, request.firm)
        ),
        "crumbs": job_crumbs(stop.job, "Stopped work"),
    }
    return render(request, "safety/stop_work_detail.html", shown)


@require_http_methods(["GET", "POST"])
def stop_work_release(request: PersonRequest, pk: int) -> HttpResponse:
    """Let work go on again."""
    stop = get_stop(request.user, pk, to=Can.RELEASE_WORK)
    form = ReleaseForm(request.POST or None)
    if form.is_valid():
        typed = form.cleaned_data
        with refusals_in(form):
            release_work(
                stop=stop,
                found=typed["found"],
                statement_says=StopWork.Statement(typed["statement_says"]),
                actor=request.user,
                at=timezone.now(),
            )
            messages.success(request, "Released. Check the site before anybody starts.")
            return redirect("safety:stop_work_detail", pk)
    trail = job_crumbs(stop.job, "Stopped work")
    here = ("Stopped work", reverse("safety:stop_work_detail", args=[pk]))
    return form_page(
        request,
        form,
        template="safety/stop_work_release.html",
        heading="Release the work",
        lede=stop.what,
        job=stop.job,
        stop=stop,
        crumbs=[*trail[:-1], here, ("Release", "")],
    )
