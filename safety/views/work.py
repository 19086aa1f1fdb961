"""Work on site: who started, tasks started and done, and slips taken back."""

from datetime import datetime

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect
from django.utils import timezone
from django.views.decorators.http import (
    require_http_methods,
    require_POST,
)

from jobs.forms.phone import PhoneForm
from jobs.hold_registry import holds
from jobs.models import Task
from jobs.queries.firm import local_day
from jobs.queries.holds import hold_rows
from jobs.views.pages import (
    PersonRequest,
    form_page,
    gone_to,
    refusals_as_messages,
    refusals_in,
    shown_anew,
)
from safety.domain.verdict import held_tasks
from safety.domain.wording import listed, names_apart
from safety.forms.on_site import SlipForm, StartForm
from safety.holds import hold_points_ahead
from safety.permissions import (
    get_attendance_to_run,
    get_job_to_run,
    get_task_to_run,
)
from safety.queries.hold_points import waits_to_be_measured
from safety.queries.site_day import (
    people_who_may_start,
)
from safety.queries.statements import issued_at
from safety.queries.task_order import not_done_before
from safety.services.work import (
    finish_task,
    start_task,
    start_work,
    take_back_start,
    take_back_task,
)
from safety.views.site_day import day_crumbs, day_url


@require_http_methods(["GET", "POST"])
def work_start(request: PersonRequest, pk: int) -> HttpResponse:
    """Record who started work, whatever is open."""
    job, now = get_job_to_run(request.user, pk), timezone.now()
    day = local_day(now, request.firm)
    statement = issued_at([job], now).get(job.pk)
    stopping = [hold for hold in holds([job], now)[job.pk] if hold.stops_work()]
    first, others = people_who_may_start(job, statement, day, now)
    form = StartForm(request.POST or None, of_the_day=first, others=others)
    if form.is_valid():
        with refusals_in(form):
            new = start_work(
                job=job,
                people=form.chosen(),
                actor=request.user,
                at=now,
                device_at=form.first_sent_at(now),
                client_uid=form.uid(),
            )
            _say_started(request, [row.person.name for row in new], bool(stopping))
            return gone_to(request, day_url(pk))
    return form_page(
        request,
        form,
        template="safety/work_start.html",
        heading="Record who started work",
        job=job,
        stopping=hold_rows(stopping),
        crumbs=day_crumbs(job, "Started work"),
    )


def _say_started(request: PersonRequest, names: list[str], held: bool) -> None:
    if not names:
        messages.info(request, "Nothing new: they had started already.")
    elif held:
        says = f"Recorded as it was: {listed(names)} started while work was held."
        messages.warning(request, f"{says} It counts as a breach.")
    else:
        messages.success(request, f"Recorded: {listed(names)} started.")


@require_http_methods(["GET", "POST"])
def attendance_take_back(request: PersonRequest, pk: int) -> HttpResponse:
    """A start of work that was a mistake."""
    row = get_attendance_to_run(request.user, pk)
    form = SlipForm(request.POST or None)
    if form.is_valid():
        with refusals_in(form):
            take_back_start(
                attendance=row,
                reason=form.cleaned_data["why"],
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
    """A task was started. What is said against it stands at the top of the page."""
    task, at = get_task_to_run(request.user, pk), timezone.now()
    held, caution = _is_held(task, at), _caution(task, at)
    with refusals_as_messages(request):
        when = _first_sent_at(request, at)
        start_task(task=task, actor=request.user, at=at, device_at=when)
        if held:
            says = f"Started while held: {task.name}. It counts as a breach.{caution}"
            messages.warning(request, says)
        elif caution:
            messages.warning(request, f"Started: {task.name}.{caution}")
        else:
            messages.success(request, f"Started: {task.name}.")
            return shown_anew(request, f"{day_url(task.job_id)}#tasks")
    return gone_to(request, day_url(task.job_id))


@require_POST
def task_done(request: PersonRequest, pk: int) -> HttpResponse:
    """A task is done; where it ends in a hold point, that comes next."""
    task, at = get_task_to_run(request.user, pk), timezone.now()
    says, to, caution = "", day_url(task.job_id), _caution(task, at)
    with refusals_as_messages(request):
        when = _first_sent_at(request, at)
        finish_task(task=task, actor=request.user, at=at, device_at=when)
        if waits_to_be_measured(task, at):
            messages.info(request, f"Done: {task.name}.{caution} Now its hold point.")
            return gone_to(request, "safety:hold_point_detail", pk)
        says = f"Done: {task.name}.{caution}"
    if caution and says:
        messages.warning(request, says)
    if caution or not says:
        return gone_to(request, to)
    messages.success(request, says)
    return shown_anew(request, f"{to}#tasks")


def _is_held(task: Task, at: datetime) -> bool:
    found = holds([task.job], at)[task.job_id]
    all_of_it = any(hold.stops_work() for hold in found)
    ahead = hold_points_ahead([task.job], at)[task.job_id]
    return all_of_it or task.pk in held_tasks([*found, *ahead])


def _caution(task: Task, at: datetime) -> str:
    """What is said of a task that is begun before those it comes after; mostly nothing."""
    if task.started_at is not None:
        return ""
    first = not_done_before(task.job, at).get(task.pk, ())
    return f" It comes after {names_apart(first)}: not done yet." if first else ""


def _first_sent_at(request: PersonRequest, at: datetime) -> datetime | None:
    form = PhoneForm(request.POST)
    return form.first_sent_at(at) if form.is_valid() else None


@require_http_methods(["GET", "POST"])
def task_take_back(request: PersonRequest, pk: int) -> HttpResponse:
    """A task was marked by mistake."""
    task = get_task_to_run(request.user, pk)
    form = SlipForm(request.POST or None)
    if form.is_valid():
        with refusals_in(form):
            take_back_task(
                task=task,
                reason=form.cleaned_data["why"],
                actor=request.user,
                at=timezone.now(),
            )
            messages.success(request, "Taken back.")
            return redirect(f"{day_url(task.job_id)}#tasks")
    word = "not done" if task.done_at else "not started"
    crumbs = day_crumbs(task.job, "Take back")
    return form_page(request, form, heading=f"{task.name} is {word}", crumbs=crumbs)
