"""The daily hazard check: make it, and read it as it was made."""

from collections.abc import Sequence
from urllib.parse import quote

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import render
from django.utils import timezone
from django.views.decorators.http import (
    require_http_methods,
    require_safe,
)

from jobs.models import Job, Task
from jobs.queries.firm import local_day
from jobs.views.jobs import job_crumbs
from jobs.views.pages import (
    PersonRequest,
    gone_to,
    refusals_in,
)
from safety.domain.heat_limit import rests_words
from safety.domain.wording import wind_words
from safety.forms.checks import CheckForm
from safety.forms.on_site import TasksForm
from safety.models import DailyCheck
from safety.permissions import (
    get_check,
    get_job_to_run,
)
from safety.queries.days_work import days_work
from safety.queries.heat import limit_at, limit_now
from safety.queries.site_day import (
    people_today,
    questions_about,
    wind_limits,
)
from safety.queries.statements import issued_at
from safety.services.checks import make_check
from safety.views.site_day import day_crumbs, day_url


@require_http_methods(["GET", "POST"])
def check_add(request: PersonRequest, pk: int) -> HttpResponse:
    """The daily hazard check."""
    job, now = get_job_to_run(request.user, pk), timezone.now()
    day = local_day(now, request.firm)
    statement = issued_at([job], now).get(job.pk)
    work = days_work(job, day, now)
    choice = TasksForm(
        request.POST or request.GET,
        tasks=(*work.today, *work.later),
        today=work.today,
    )
    tasks = work.chosen(choice.chosen())
    people = people_today(job, statement, day, now)
    here = [one for one in people if one.expected or one.person == request.user]
    form = CheckForm(
        request.POST or None,
        request.FILES or None,
        questions=questions_about(statement, tasks),
        asks_heat=limit_now(request.firm).is_set,
        people=[one.person for one in people],
        initial={"here": [str(one.person.pk) for one in here]},
    )
    if form.is_valid():
        with refusals_in(form):
            check = _make(request, job, form, tasks)
            messages.success(request, f"Recorded: {check.get_outcome_display()}.")
            return gone_to(request, day_url(pk))
    shown = {
        "job": job,
        "day": day,
        "statement": statement,
        "form": form,
        "reasons": form.reasons(),
        "unanswered": form.unanswered(),
        "denied": form.denied(),
        "outcome": form["outcome"].value(),
        "choice": choice,
        "tasks": tasks,
        "limits": [(name, wind_words(limit)) for name, limit in wind_limits(tasks)],
        "heat_limit": limit_now(request.firm),
        "unsigned": [one for one in here if statement and not one.signed],
        "back": quote(request.get_full_path()),
        "crumbs": day_crumbs(job, "Check"),
    }
    status = 422 if form.is_bound else 200
    return render(request, "safety/check.html", shown, status=status)


def _make(
    request: PersonRequest, job: Job, form: CheckForm, tasks: Sequence[Task]
) -> DailyCheck:
    at = timezone.now()
    return make_check(
        job=job,
        outcome=DailyCheck.Outcome(form.cleaned_data["outcome"]),
        answers=form.answers(),
        weather=form.weather(),
        note=form.cleaned_data["note"],
        here=form.chosen(),
        tasks=tasks,
        photo=form.cleaned_data["photo"] or None,
        actor=request.user,
        at=at,
        device_at=form.first_sent_at(at),
        client_uid=form.uid(),
    )


@require_safe
def daily_check_detail(request: PersonRequest, pk: int) -> HttpResponse:
    """One check as it was made."""
    check = get_check(request.user, pk)
    shown = {
        "check": check,
        "job": check.job,
        "answers": check.answers.all(),
        "rests": rests_words(
            check.heat, limit_at(check.device_at, request.firm).clothing
        ),
        "crumbs": job_crumbs(check.job, "Daily check"),
    }
    return render(request, "safety/daily_check_detail.html", shown)
