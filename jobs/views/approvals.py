"""Approvals of a job, and the office's list of those to chase."""

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_safe

from jobs.domain.approvals import Step, next_steps
from jobs.domain.roles import Can
from jobs.forms.approvals import (
    AddApprovalForm,
    ApprovalKindForm,
    ExpectedForm,
    NeededForm,
    StepForm,
)
from jobs.models import Approval, ApprovalKind
from jobs.permissions import get_approval, get_job, require, visible_jobs
from jobs.queries import local_day
from jobs.queries.approvals import (
    approvals_on,
    approvals_to_chase,
    with_ranges,
)
from jobs.services.approvals import (
    add_kind,
    add_to_job,
    record_step_with_paper,
    set_expected,
    set_needed,
)
from jobs.views.jobs import job_crumbs
from jobs.views.pages import (
    Crumbs,
    PersonRequest,
    form_page,
    page_of,
    refusals_in,
)


def _crumbs(approval: Approval, last: str) -> Crumbs:
    detail = reverse("jobs:approval_detail", args=[approval.pk])
    crumbs = job_crumbs(approval.job, approval.kind.name)[:-1]
    return [*crumbs, (approval.kind.name, detail if last else ""), (last, "")]


@require_safe
def approval_list(request: PersonRequest) -> HttpResponse:
    """What to chase today, over all open jobs."""
    require(request.user, Can.SEE_ALL_JOBS)
    today = local_day(timezone.now(), request.firm)
    rows = approvals_to_chase(today, visible_jobs(request.user).open())
    shown = {"page": page_of(request, rows), "today": today}
    return render(request, "jobs/approval_list.html", shown)


@require_safe
def approval_detail(request: PersonRequest, pk: int) -> HttpResponse:
    """One approval with every step it went through."""
    approval = get_approval(request.user, pk)
    today = local_day(timezone.now(), request.firm)
    views = [v for v in approvals_on(today, [approval.job]) if v.approval.pk == pk]
    shown = {
        "job": approval.job,
        "row": with_ranges(today, views)[0],
        "steps": approval.events.select_related("document", "recorded_by"),
        "crumbs": _crumbs(approval, "")[:-1],
    }
    return render(request, "jobs/approval_detail.html", shown)


@require_http_methods(["GET", "POST"])
def approval_step(request: PersonRequest, pk: int) -> HttpResponse:
    """Record what happened to an approval."""
    approval = get_approval(request.user, pk, to=Can.EDIT_APPROVALS)
    at = timezone.now()
    today = local_day(at, request.firm)
    view = next(v for v in approvals_on(today, [approval.job]) if v.approval.pk == pk)
    form = StepForm(
        request.POST or None,
        request.FILES or None,
        steps=next_steps(view.standing),
        today=today,
    )
    if form.is_valid():
        typed = dict(form.cleaned_data)
        upload, step = typed.pop("document"), Step(typed.pop("step"))
        with refusals_in(form):
            record_step_with_paper(
                approval=approval,
                upload=upload,
                step=step,
                **typed,
                actor=request.user,
                at=at,
            )
            messages.success(request, f"{approval.kind.name}: {step.says.lower()}.")
            return redirect("jobs:approval_detail", pk)
    return form_page(
        request,
        form,
        heading=approval.kind.name,
        lede=f"{approval.job}. It is “{view.standing}” now.",
        crumbs=_crumbs(approval, "Record what happened"),
    )


@require_http_methods(["GET", "POST"])
def approval_needed(request: PersonRequest, pk: int) -> HttpResponse:
    """Say whether the job needs it, and why not."""
    approval = get_approval(request.user, pk, to=Can.EDIT_APPROVALS)
    form = NeededForm(request.POST or None, instance=approval)
    if form.is_valid():
        with refusals_in(form, approval):
            set_needed(
                approval=approval,
                version=form.opened_version(),
                required=form.cleaned_data["required"],
                reason=form.cleaned_data["not_required_reason"],
                actor=request.user,
                at=timezone.now(),
            )
            messages.success(request, "Saved.")
            return redirect("jobs:approval_detail", pk)
    return form_page(
        request,
        form,
        heading=f"{approval.kind.name}: needed or not",
        crumbs=_crumbs(approval, "Needed or not"),
    )


@require_http_methods(["GET", "POST"])
def approval_expected(request: PersonRequest, pk: int) -> HttpResponse:
    """Record when they said it will be back."""
    approval = get_approval(request.user, pk, to=Can.EDIT_APPROVALS)
    form = ExpectedForm(request.POST or None, instance=approval)
    if form.is_valid():
        with refusals_in(form, approval):
            set_expected(
                approval=approval,
                version=form.opened_version(),
                expected_on=form.cleaned_data["expected_on"],
                actor=request.user,
                at=timezone.now(),
            )
            messages.success(request, "Saved.")
            return redirect("jobs:approval_detail", pk)
    return form_page(
        request,
        form,
        heading=f"{approval.kind.name}: when is it back?",
        crumbs=_crumbs(approval, "Expected back"),
    )


@require_http_methods(["GET", "POST"])
def approval_add(request: PersonRequest, pk: int) -> HttpResponse:
    """Keep one more kind of approval for a job."""
    job = get_job(request.user, pk, to=Can.EDIT_APPROVALS)
    kinds = ApprovalKind.objects.exclude(pk__in=job.approvals.values("kind"))
    form = AddApprovalForm(request.POST or None, kinds=kinds)
    if form.is_valid():
        with refusals_in(form):
            kind = form.cleaned_data["kind"]
            approval = add_to_job(
                job=job, kind=kind, actor=request.user, at=timezone.now()
            )
            messages.success(request, f"{kind.name} is kept for this job now.")
            return redirect("jobs:approval_detail", approval.pk)
    return form_page(
        request,
        form,
        heading="Another kind of approval",
        template="jobs/approval_add.html",
        crumbs=job_crumbs(job, "Another approval"),
        any_left=kinds.exists(),
    )


@require_http_methods(["GET", "POST"])
def approval_kind_add(request: PersonRequest) -> HttpResponse:
    """Add a kind of approval of the firm's own."""
    require(request.user, Can.EDIT_APPROVALS)
    form = ApprovalKindForm(request.POST or None)
    if form.is_valid():
        with refusals_in(form):
            kind = add_kind(
                values=form.cleaned_data, actor=request.user, at=timezone.now()
            )
            messages.success(
                request, f"{kind.name} is added. New jobs will ask for it."
            )
            return redirect("jobs:approval_list")
    crumbs = [("To chase", reverse("jobs:approval_list")), ("A new kind", "")]
    return form_page(request, form, heading="A new kind of approval", crumbs=crumbs)
