"""Background work as a page follows it."""

from uuid import UUID

from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_POST, require_safe
from django_htmx.http import HttpResponseClientRefresh

from jobs.background import ask_to_stop
from jobs.permissions import get_run
from jobs.views.pages import PersonRequest


@require_safe
def run_detail(request: PersonRequest, pk: UUID) -> HttpResponse:
    """A page of its own, for browsers without scripts and for links."""
    run = get_run(request.user, pk)
    return render(request, "jobs/run_detail.html", {"run": run})


@require_safe
def run_progress(request: PersonRequest, pk: UUID) -> HttpResponse:
    """How far the work is. A fragment that asks again until it is over.

    On the page that shows what comes of it, that page is then loaded anew.
    """
    run = get_run(request.user, pk)
    if run.is_over and run.result_url == request.htmx.current_url_abs_path:
        return HttpResponseClientRefresh()
    return render(request, "jobs/_run.html", {"run": run})


@require_POST
def run_stop(request: PersonRequest, pk: UUID) -> HttpResponse:
    """Ask the work to stop at its next report."""
    run = get_run(request.user, pk)
    if not run.is_over:
        ask_to_stop(run=run)
    if request.htmx:
        run.refresh_from_db()
        return render(request, "jobs/_run.html", {"run": run})
    return redirect("jobs:run_detail", pk)
