"""The hazard plan of a job: what the engine says, and what reviewers change."""

from typing import Any

from django.contrib import messages
from django.http import Http404, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_safe

from jobs.domain.roles import Can
from jobs.models import Job
from jobs.permissions import get_job
from jobs.views.jobs import job_crumbs
from jobs.views.pages import (
    Crumbs,
    PersonRequest,
    confirm_page,
    form_page,
    refusals_as_messages,
    refusals_in,
)
from safety.domain.plan import PlanControl, PlanLine
from safety.domain.statement import Content
from safety.forms.plan import (
    ControlForm,
    LeaveControlOutForm,
    LeaveOutForm,
    NewControlForm,
    NewHazardForm,
    PlanForm,
    RatingForm,
    WordsForm,
)
from safety.permissions import get_plan_edit
from safety.queries.blockers import blockers
from safety.queries.day_page import days_shown
from safety.queries.plan_page import plan_page
from safety.queries.plans import Draft, draft
from safety.queries.statements import issued_at, waiting_at
from safety.services.plan_edits import edit_plan, undo_edit

_FORMS: dict[str, tuple[type[PlanForm], str]] = {
    "words": (WordsForm, "Change the words"),
    "rating": (RatingForm, "Change the rating"),
    "leave-out": (LeaveOutForm, "Leave this hazard out"),
    "add-control": (NewControlForm, "Add a control"),
    "control": (ControlForm, "Change this control"),
    "leave-control-out": (LeaveControlOutForm, "Leave this control out"),
}
_OF_CONTROL = {"control", "leave-control-out"}


@require_safe
def plan_detail(request: PersonRequest, pk: int) -> HttpResponse:
    """The plan as it stands now: a draft until it is reviewed and issued."""
    job, at = get_job(request.user, pk), timezone.now()
    found = draft(job, at, request.firm)
    shown = {
        "job": job,
        "draft": found,
        "page": plan_page(found) if found else None,
        "days": days_shown(found, request.firm) if found else None,
        "blockers": blockers(job, found),
        "issued": issued_at([job], at).get(job.pk),
        "waiting": waiting_at([job], at).get(job.pk),
        "opened": request.GET.get("step"),
        "edits_allowed": request.user.can(Can.EDIT_PLAN) and job.is_open,
        "now": at,
        "crumbs": job_crumbs(job, "Hazard plan"),
    }
    return render(request, "safety/plan_detail.html", shown)


def plan_crumbs(job: Job, last: str) -> Crumbs:
    """Where a page below the plan is."""
    trail = job_crumbs(job, "Hazard plan")
    here = reverse("safety:plan_detail", args=[job.pk])
    return [*trail[:-1], ("Hazard plan", here), (last, "")]


def _the_draft(request: PersonRequest, job: Job) -> Draft:
    found = draft(job, timezone.now(), request.firm)
    if found is None:
        raise Http404("This job has no plan yet.")
    return found


@require_safe
def plan_line(request: PersonRequest, pk: int) -> HttpResponse:
    """One line of the plan, and every way to change it."""
    job = get_job(request.user, pk, to=Can.EDIT_PLAN)
    page = plan_page(_the_draft(request, job))
    key = request.GET.get("line", "")
    shown = {
        "job": job,
        "line": _line_content(page.content, key),
        "content": page.content,
        "crumbs": plan_crumbs(job, "Change a hazard"),
    }
    return render(request, "safety/plan_line.html", shown)


def _line_content(content: Content, key: str) -> Content:
    for step in content["steps"]:
        for line in step["lines"]:
            if line["key"] == key:
                return {**line, "step_name": step["name"]}
    raise Http404("The plan has no such line.")


@require_http_methods(["GET", "POST"])
def plan_edit(request: PersonRequest, pk: int, what: str) -> HttpResponse:
    """Change one line of the plan, or one of its controls, with a reason."""
    if what not in _FORMS:
        raise Http404("A plan is not changed like that.")
    job = get_job(request.user, pk, to=Can.EDIT_PLAN)
    found = _the_draft(request, job)
    line = _line(found, request.GET.get("line", ""))
    control = None
    if what in _OF_CONTROL:
        control = _control(line, request.GET.get("control", ""))
    form = _form(request, what, found, line, control)
    if form.is_valid() and _saved(request, job, form, line.key, control):
        messages.success(request, "The plan is changed. The reason prints with it.")
        return redirect(_back(job, line.task_key))
    heading = _FORMS[what][1]
    lede = control.text if control else line.name
    crumbs = plan_crumbs(job, heading)
    return form_page(request, form, heading=heading, lede=lede, crumbs=crumbs)


def _line(found: Draft, key: str) -> PlanLine:
    try:
        return found.plan.line(key)
    except KeyError as error:
        raise Http404("The plan has no such line.") from error


def _control(line: PlanLine, key: str) -> PlanControl:
    for control in line.controls:
        if control.key == key:
            return control
    raise Http404("The line has no such control.")


def _form(
    request: PersonRequest,
    what: str,
    found: Draft,
    line: PlanLine,
    control: PlanControl | None,
) -> PlanForm:
    kind = _FORMS[what][0]
    options: dict[str, Any] = {}
    if kind is RatingForm:
        options = {"matrix": found.matrix, "initial": RatingForm.starting(line)}
    elif kind is WordsForm:
        options = {"initial": WordsForm.starting(line)}
    elif kind is ControlForm and control is not None:
        options = {"initial": ControlForm.starting(control)}
    return kind(request.POST or None, **options)


def _saved(
    request: PersonRequest,
    job: Job,
    form: PlanForm,
    line_key: str,
    control: PlanControl | None,
) -> bool:
    with refusals_in(form):
        edit_plan(
            job=job,
            does=form.does,
            reason=form.cleaned_data["reason"],
            line_key=line_key,
            control_key=control.key if control else "",
            changes=form.changes(),
            actor=request.user,
            at=timezone.now(),
        )
    return not form.errors


def _back(job: Job, task_key: str) -> str:
    url = reverse("safety:plan_detail", args=[job.pk])
    return f"{url}?step={task_key}#step-{task_key or 'job'}"


@require_http_methods(["GET", "POST"])
def plan_add(request: PersonRequest, pk: int) -> HttpResponse:
    """Add a hazard that the rules do not know."""
    job = get_job(request.user, pk, to=Can.EDIT_PLAN)
    found = _the_draft(request, job)
    step = request.GET.get("step", "")
    form = NewHazardForm(
        request.POST or None,
        matrix=found.matrix,
        tasks=found.facts.tasks,
        initial={"task_key": step},
    )
    if form.is_valid() and _saved(request, job, form, "", None):
        messages.success(request, "The hazard is in the plan.")
        return redirect(_back(job, form.cleaned_data["task_key"]))
    heading = "Add a hazard"
    lede = "Something that could hurt people here and that no rule knows."
    crumbs = plan_crumbs(job, heading)
    return form_page(request, form, heading=heading, lede=lede, crumbs=crumbs)


@require_http_methods(["GET", "POST"])
def plan_edit_undo(request: PersonRequest, pk: int) -> HttpResponse:
    """Take a change back, after asking once more."""
    edit = get_plan_edit(request.user, pk)
    back = reverse("safety:plan_detail", args=[edit.job_id])
    if request.method == "POST":
        with refusals_as_messages(request):
            undo_edit(edit=edit, actor=request.user, at=timezone.now())
            messages.success(request, "The change is taken back.")
        return redirect(back)
    return confirm_page(
        request,
        says=f"Take back “{edit.get_does_display()}”, made by {edit.by_name}?",
        then=[
            f"The reason was: {edit.reason}",
            "The plan says again what the rules say.",
        ],
        button="Take it back",
        back=back,
        heading="Take a change back",
        crumbs=plan_crumbs(edit.job, "Take a change back"),
    )
