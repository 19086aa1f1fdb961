"""What if: a job done otherwise, and what its hazard plan would say."""

from django.http import HttpResponse
from django.shortcuts import render
from django.utils import timezone
from django.views.decorators.http import require_safe

from jobs.permissions import get_job
from jobs.views.pages import PersonRequest
from safety.domain.what_if import Fate
from safety.forms.what_if import WhatIfForm
from safety.queries.plans import draft
from safety.queries.what_if import basis_of, what_if
from safety.views.plan import plan_crumbs

_NOTHING_BUT = {
    True: "Figures in the sentences differ; they stand below.",
    False: "No figure in a sentence differs either.",
}


@require_safe
def plan_what_if(request: PersonRequest, pk: int) -> HttpResponse:
    """Try another dimension, tool or way of working. Nothing is kept."""
    job = get_job(request.user, pk)
    found, basis = draft(job, timezone.now(), request.firm), basis_of(job)
    shown = {"job": job, "crumbs": plan_crumbs(job, "What if"), "form": None}
    if found is None or basis is None:
        return render(request, "safety/what_if.html", shown)
    done = {task.key for task in found.facts.tasks}
    form = WhatIfForm(
        request.GET or None,
        structure=job.structure_kind,
        now=basis.dimensions,
        tasks=[task for task in basis.tasks if task.key in done],
    )
    shown["form"] = form
    if form.is_valid():
        result = what_if(found, basis, form.dimensions(), form.options())
        shown |= {
            "outcome": result,
            "nothing_but": _NOTHING_BUT[bool(result.figures)],
            "groups": [
                ("Gone", "gone", result.of(Fate.GONE)),
                ("New", "new", result.of(Fate.NEW)),
                ("Worse", "worse", result.of(Fate.WORSE)),
                ("Better", "better", result.of(Fate.BETTER)),
                ("Other controls", "other", result.of(Fate.OTHER)),
            ],
        }
    status = 422 if form.is_bound and form.errors else 200
    return render(request, "safety/what_if.html", shown, status=status)
