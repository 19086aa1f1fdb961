"""Change the task sequence of one job; the library stays as it is."""

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import (
    require_http_methods,
    require_POST,
    require_safe,
)

from jobs.domain.refusals import Refused
from jobs.domain.roles import Can
from jobs.forms.sequence import LinksForms, LinksFormSet, NewTaskForm, TaskForm
from jobs.models import Job, Task
from jobs.permissions import get_job, get_task
from jobs.queries.facts import current_take_off
from jobs.queries.sequence import TaskView, sequence_of
from jobs.services.sequence import (
    add_task,
    edit_task,
    move_task,
    relink_task,
    remove_task,
)
from jobs.views.jobs import job_crumbs
from jobs.views.pages import (
    Crumbs,
    PersonRequest,
    confirm_page,
    form_page,
    refusals_in,
)


def _crumbs(job: Job, last: str) -> Crumbs:
    sequence = ("Sequence", reverse("jobs:sequence_edit", args=[job.pk]))
    return [*job_crumbs(job, "")[:-1], (str(job), job_url(job)), sequence, (last, "")]


def job_url(job: Job) -> str:
    """The page of a job."""
    return reverse("jobs:job_detail", args=[job.pk])


def _view_of(task: Task) -> tuple[TaskView, list[TaskView]]:
    views = sequence_of(task.job, None)
    return next(view for view in views if view.task.pk == task.pk), views


@require_safe
def sequence_edit(request: PersonRequest, pk: int) -> HttpResponse:
    """The sequence with what can be done to each task."""
    job = get_job(request.user, pk, to=Can.EDIT_JOBS)
    shown = {
        "job": job,
        "tasks": sequence_of(job, current_take_off(job)),
        "crumbs": job_crumbs(job, "Sequence"),
    }
    return render(request, "jobs/sequence_edit.html", shown)


@require_http_methods(["GET", "POST"])
def task_add(request: PersonRequest, pk: int) -> HttpResponse:
    """Add a task."""
    job = get_job(request.user, pk, to=Can.EDIT_JOBS)
    form = NewTaskForm(request.POST or None, tasks=sequence_of(job, None))
    if form.is_valid():
        with refusals_in(form):
            task = add_task(
                job=job,
                spec=form.new_spec(),
                after=form.links(),
                position=form.cleaned_data["position"],
                actor=request.user,
                at=timezone.now(),
            )
            messages.success(request, f"“{task.name}” is in the sequence.")
            return redirect("jobs:sequence_edit", pk)
    return form_page(
        request, form, heading="Add a task", crumbs=_crumbs(job, "Add a task")
    )


@require_http_methods(["GET", "POST"])
def task_edit(request: PersonRequest, pk: int) -> HttpResponse:
    """Change what a task is."""
    task = get_task(request.user, pk, to=Can.EDIT_JOBS)
    view, _ = _view_of(task)
    initial = {"version": task.version}
    form = TaskForm(request.POST or None, spec=view.spec, initial=initial)
    if form.is_valid():
        with refusals_in(form, task):
            edit_task(
                task=task,
                version=form.cleaned_data["version"] or 0,
                spec=form.new_spec(),
                actor=request.user,
                at=timezone.now(),
            )
            messages.success(request, "Saved.")
            return redirect("jobs:sequence_edit", task.job_id)
    return form_page(
        request,
        form,
        heading=view.task.name,
        lede=f"Task {view.number} of {task.job}",
        crumbs=_crumbs(task.job, view.task.name),
    )


@require_http_methods(["GET", "POST"])
def task_links(request: PersonRequest, pk: int) -> HttpResponse:
    """Say anew what a task waits for."""
    task = get_task(request.user, pk, to=Can.EDIT_JOBS)
    view, views = _view_of(task)
    formset = _links_formset(request, task, views)
    reasons: tuple[str, ...] = ()
    if formset.is_bound and formset.is_valid():
        try:
            relink_task(
                task=task,
                version=_version(request),
                after=formset.links(),
                actor=request.user,
                at=timezone.now(),
            )
        except Refused as error:
            reasons = error.reasons
        else:
            messages.success(request, "Saved.")
            return redirect("jobs:sequence_edit", task.job_id)
    shown = {
        "task": task,
        "view": view,
        "formset": formset,
        "reasons": reasons,
        "version": Task.objects.get(pk=pk).version,
        "crumbs": _crumbs(task.job, "Waits for"),
    }
    refused = bool(reasons) or (formset.is_bound and not formset.is_valid())
    return render(
        request, "jobs/task_links.html", shown, status=422 if refused else 200
    )


def _version(request: PersonRequest) -> int:
    typed = request.POST.get("version", "")
    return int(typed) if typed.isdecimal() else 0


def _links_formset(
    request: PersonRequest, task: Task, views: list[TaskView]
) -> LinksFormSet:
    links = task.links_in.order_by("predecessor__position")
    initial = [
        {
            "after_id": link.predecessor_id,
            "lag_hours": link.lag_hours or None,
            "lag_kind": link.lag_kind,
            "why": link.why,
        }
        for link in links
    ]
    others = [view for view in views if view.task.pk != task.pk]
    formset = LinksForms(
        request.POST or None,
        initial=initial,
        prefix="links",
        form_kwargs={"tasks": others},
    )
    assert isinstance(formset, LinksFormSet)
    return formset


@require_http_methods(["GET", "POST"])
def task_remove(request: PersonRequest, pk: int) -> HttpResponse:
    """Take a task out of the sequence."""
    task = get_task(request.user, pk, to=Can.EDIT_JOBS)
    back = reverse("jobs:sequence_edit", args=[task.job_id])
    reasons: tuple[str, ...] = ()
    if request.method == "POST":
        try:
            remove_task(task=task, actor=request.user, at=timezone.now())
        except Refused as error:
            reasons = error.reasons
        else:
            messages.success(request, f"“{task.name}” is out of the sequence.")
            return redirect(back)
    return confirm_page(
        request,
        says=f"Take “{task.name}” out of job {task.job}?",
        then=_what_goes_with(task),
        button="Take it out",
        back=back,
        reasons=reasons,
        crumbs=_crumbs(task.job, "Take out"),
    )


def _what_goes_with(task: Task) -> list[str]:
    says = ["What waited for it then waits for what it waited for."]
    point = task.spec.get("hold_point")
    if point:
        says.append(f"Its hold point goes with it: {point['says']}")
    return says


@require_POST
def task_move(request: PersonRequest, pk: int, position: int) -> HttpResponse:
    """Move a task to another place in the list."""
    task = get_task(request.user, pk, to=Can.EDIT_JOBS)
    url = reverse("jobs:sequence_edit", args=[task.job_id])
    try:
        move_task(task=task, position=position, actor=request.user, at=timezone.now())
    except Refused as error:
        for reason in error.reasons:
            messages.error(request, reason)
        return redirect(url)  # to the top, where the reason stands
    return redirect(f"{url}#task-{pk}")
