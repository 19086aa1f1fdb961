"""The day on site: may we start, who is here, what is done. For a phone."""

from collections.abc import Sequence
from datetime import date
from urllib.parse import quote

from django.contrib import messages
from django.http import Http404, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone
from django.utils.formats import date_format
from django.views.decorators.http import (
    require_http_methods,
    require_POST,
    require_safe,
)

from jobs.domain.holds import Hold
from jobs.domain.refusals import Refused
from jobs.domain.roles import Can
from jobs.hold_registry import holds
from jobs.models import Job, Task
from jobs.permissions import get_job
from jobs.queries.firm import local_day
from jobs.queries.holds import hold_rows
from jobs.views.jobs import job_crumbs
from jobs.views.pages import (
    Crumbs,
    PersonRequest,
    form_page,
    refusals_as_messages,
    refusals_in,
)
from safety.domain.obligations import CHECK_MISSING, SIGN_ON_MISSING
from safety.forms.on_site import CheckForm, PeopleForm, ReasonForm, TasksForm
from safety.models import DailyCheck
from safety.permissions import (
    get_attendance_to_run,
    get_check,
    get_job_to_run,
    get_task_to_run,
    leads,
)
from safety.queries.checks import checks_of
from safety.queries.home import led_today
from safety.queries.site_day import (
    DaysWork,
    days_work,
    done_today,
    people_today,
    people_who_may_start,
    questions_about,
    step_numbers_at,
    wind_limits,
    with_hold_points,
)
from safety.queries.statements import issued_at
from safety.services.checks import make_check
from safety.services.work import (
    finish_task,
    start_task,
    start_work,
    take_back_start,
    take_back_task,
)


def day_url(job_id: int) -> str:
    """Today's page of a job."""
    return reverse("safety:site_day_detail", args=[job_id])


def day_crumbs(job: Job, last: str) -> Crumbs:
    """Where a page below the day is."""
    trail = job_crumbs(job, "Today")
    return [*trail[:-1], ("Today", day_url(job.pk)), (last, "")]


@require_safe
def today(request: PersonRequest) -> HttpResponse:
    """The job a lead is on today; with several, or none, a list to choose from."""
    day = local_day(timezone.now(), request.firm)
    jobs = led_today(request.user, day)
    if len(jobs) == 1:
        return redirect(day_url(jobs[0].pk))
    return redirect("home")


@require_safe
def site_day_detail(request: PersonRequest, pk: int) -> HttpResponse:
    """Today on one job."""
    job = get_job(request.user, pk)
    return _day_page(request, job, local_day(timezone.now(), request.firm))


@require_safe
def site_day(request: PersonRequest, pk: int, day: str) -> HttpResponse:
    """Another day on one job; a past one can only be read."""
    job = get_job(request.user, pk)
    try:
        wanted = date.fromisoformat(day)
    except ValueError as error:
        raise Http404("There is no such day.") from error
    return _day_page(request, job, wanted)


def _day_page(request: PersonRequest, job: Job, day: date) -> HttpResponse:
    now = timezone.now()
    is_today = day == local_day(now, request.firm)
    statement = issued_at([job], now).get(job.pk)
    found = holds([job], now)[job.pk] if is_today else []
    checks = checks_of(job, day)
    work = days_work(job, day, now) if is_today else DaysWork((), ())
    numbers = step_numbers_at(job, now)
    runs = is_today and request.user.can(Can.RUN_SITE_DAY) and leads(request.user, job)
    shown = {
        "job": job,
        "day": day,
        "is_today": is_today,
        "runs": runs and job.is_open,
        "statement": statement,
        "verdict": _verdict(found, checks),
        "stopping": hold_rows(hold for hold in found if hold.stops_work()),
        "others": hold_rows(hold for hold in found if not hold.stops_work()),
        "people": people_today(job, statement, day, now),
        "checks": checks,
        "tasks": with_hold_points(work.today, now, numbers),
        "later": with_hold_points(work.later, now, numbers),
        "done": with_hold_points(done_today(job, day, request.firm), now, numbers),
        "back": quote(request.path),
        "now": now,
        "crumbs": job_crumbs(job, "Today" if is_today else date_format(day)),
    }
    return render(request, "safety/site_day.html", shown)


def _verdict(found: Sequence[Hold], checks: Sequence[DailyCheck]) -> dict[str, str]:
    """The answer to "may we start?" in one line."""
    stopping = [hold for hold in found if hold.stops_work()]
    ours = {CHECK_MISSING, SIGN_ON_MISSING}
    if not stopping and checks and checks[0].outcome == "go_with_changes":
        return {"kind": "careful", "word": "Yes, with changes", "says": checks[0].note}
    if not stopping and checks:
        return {"kind": "clear", "word": "Yes", "says": "The check says go."}
    if not stopping:
        return {"kind": "clear", "word": "Nothing stops work", "says": ""}
    if {hold.rule for hold in stopping} <= ours:
        says = "What is missing can be done here and now."
        return {"kind": "stop", "word": "Not yet", "says": says}
    others = [hold for hold in stopping if hold.rule not in ours]
    word = "one thing stops" if len(others) == 1 else f"{len(others)} things stop"
    return {"kind": "stop", "word": "No", "says": f"Today {word} all work."}


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
    questions = questions_about(statement, tasks)
    people = [one.person for one in people_today(job, statement, day, now)]
    form = CheckForm(
        request.POST or None,
        request.FILES or None,
        questions=questions,
        people=people,
        initial={"here": [str(person.pk) for person in people]},
    )
    reasons: Sequence[str] = ()
    if form.is_valid():
        try:
            check = _make(request, job, form, tasks)
        except Refused as refused:
            reasons = refused.reasons
        else:
            messages.success(request, f"Recorded: {check.get_outcome_display()}.")
            return redirect(day_url(pk))
    elif form.is_bound:
        reasons = [str(error) for errors in form.errors.values() for error in errors]
    shown = {
        "job": job,
        "day": day,
        "statement": statement,
        "form": form,
        "reasons": reasons,
        "outcome": form["outcome"].value(),
        "choice": choice,
        "tasks": tasks,
        "limits": wind_limits(tasks),
        "crumbs": day_crumbs(job, "Check"),
    }
    status = 422 if form.is_bound else 200
    return render(request, "safety/check.html", shown, status=status)


def _make(
    request: PersonRequest, job: Job, form: CheckForm, tasks: Sequence[Task]
) -> DailyCheck:
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
        at=timezone.now(),
        device_at=None,
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
        "crumbs": job_crumbs(check.job, "Daily check"),
    }
    return render(request, "safety/daily_check_detail.html", shown)


@require_http_methods(["GET", "POST"])
def work_start(request: PersonRequest, pk: int) -> HttpResponse:
    """Record who started work, whatever is open."""
    job, now = get_job_to_run(request.user, pk), timezone.now()
    day = local_day(now, request.firm)
    statement = issued_at([job], now).get(job.pk)
    stopping = [hold for hold in holds([job], now)[job.pk] if hold.stops_work()]
    form = PeopleForm(
        request.POST or None, people=people_who_may_start(job, statement, day, now)
    )
    if form.is_valid():
        with refusals_in(form):
            start_work(
                job=job,
                people=form.chosen(),
                actor=request.user,
                at=now,
                device_at=None,
                client_uid=form.uid(),
            )
            messages.success(request, "Recorded.")
            return redirect(day_url(pk))
    return form_page(
        request,
        form,
        template="safety/work_start.html",
        heading="Somebody started work",
        job=job,
        stopping=hold_rows(stopping),
        crumbs=day_crumbs(job, "Started work"),
    )


@require_http_methods(["GET", "POST"])
def attendance_take_back(request: PersonRequest, pk: int) -> HttpResponse:
    """A start of work that was a mistake."""
    row = get_attendance_to_run(request.user, pk)
    form = ReasonForm(request.POST or None)
    if form.is_valid():
        with refusals_in(form):
            take_back_start(
                attendance=row,
                reason=form.cleaned_data["reason"],
                actor=request.user,
                at=timezone.now(),
            )
            messages.success(request, "Taken back.")
            return redirect(day_url(row.job_id))
    heading = f"{row.person.name} did not start"
    crumbs = day_crumbs(row.job, "Take back")
    return form_page(request, form, heading=heading, crumbs=crumbs)


@require_POST
def task_start(request: PersonRequest, pk: int) -> HttpResponse:
    """A task was started."""
    task = get_task_to_run(request.user, pk)
    with refusals_as_messages(request):
        start_task(task=task, actor=request.user, at=timezone.now(), device_at=None)
        messages.success(request, f"Started: {task.name}.")
    return redirect(f"{day_url(task.job_id)}#tasks")


@require_POST
def task_done(request: PersonRequest, pk: int) -> HttpResponse:
    """A task is done."""
    task = get_task_to_run(request.user, pk)
    with refusals_as_messages(request):
        finish_task(task=task, actor=request.user, at=timezone.now(), device_at=None)
        messages.success(request, f"Done: {task.name}.")
    return redirect(f"{day_url(task.job_id)}#tasks")


@require_http_methods(["GET", "POST"])
def task_take_back(request: PersonRequest, pk: int) -> HttpResponse:
    """A task was marked by mistake."""
    task = get_task_to_run(request.user, pk)
    form = ReasonForm(request.POST or None)
    if form.is_valid():
        with refusals_in(form):
            take_back_task(
                task=task,
                reason=form.cleaned_data["reason"],
                actor=request.user,
                at=timezone.now(),
            )
            messages.success(request, "Taken back.")
            return redirect(f"{day_url(task.job_id)}#tasks")
    word = "not done" if task.done_at else "not started"
    crumbs = day_crumbs(task.job, "Take back")
    return form_page(request, form, heading=f"{task.name} is {word}", crumbs=crumbs)
