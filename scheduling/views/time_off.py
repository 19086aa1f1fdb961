"""Absences, closures of the firm, and days lost to weather."""

from datetime import datetime, timedelta

from django.contrib import messages
from django.core.exceptions import PermissionDenied
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_safe

from jobs.domain.roles import Can
from jobs.permissions import require, visible_jobs
from jobs.queries import local_day
from jobs.views.pages import (
    Crumbs,
    PersonRequest,
    confirm_page,
    form_page,
    refusals_in,
)
from scheduling.domain.calendar import say_day
from scheduling.forms.crews import THEN_DRAFT, AbsenceForm, ClosureForm, LostDayForm
from scheduling.models import Absence, Closure
from scheduling.permissions import (
    get_absence,
    get_closure,
    get_lost_day,
    may_undo_lost_day,
)
from scheduling.queries.calendar import days_off
from scheduling.queries.called_off import own_lost_days
from scheduling.queries.crews import (
    time_off,
    touched_by_absence,
    touched_by_lost_day,
)
from scheduling.services.absences import (
    add_closure,
    cancel_absence,
    record_absence,
    remove_closure,
)
from scheduling.services.drafts import why_lost
from scheduling.services.lost_days import (
    call_off_on_site,
    cancel_lost_day,
    record_lost_day,
)
from scheduling.views.drafts import start_draft

AHEAD = timedelta(days=365)


def _crumbs(last: str) -> Crumbs:
    return [("Days off", reverse("scheduling:absence_list")), (last, "")]


@require_safe
def absence_list(request: PersonRequest) -> HttpResponse:
    """Who is away, when the firm is shut, which days were lost."""
    require(request.user, Can.SEE_SCHEDULE)
    today = local_day(timezone.now(), request.firm)
    public = days_off(request.firm, today, today + AHEAD)
    shown = {
        "off": time_off(today),
        "closures": Closure.objects.filter(to_on__gte=today),
        "public": [day for day in public if day.is_public_holiday],
    }
    return render(request, "scheduling/absence_list.html", shown)


@require_http_methods(["GET", "POST"])
def absence_add(request: PersonRequest) -> HttpResponse:
    """Record that a person or a crew is away."""
    require(request.user, Can.EDIT_SCHEDULE)
    form = AbsenceForm(request.POST or None)
    if form.is_valid():
        with refusals_in(form):
            absence = record_absence(
                actor=request.user, at=timezone.now(), **form.cleaned_data
            )
            who = absence.person or absence.crew
            messages.success(request, f"{who} is away. Bookings on these days show it.")
            if THEN_DRAFT in request.POST:
                return start_draft(request, why=why_away(absence), mends=True)
            return redirect("scheduling:absence_detail", absence.pk)
    return form_page(
        request, form, heading="Somebody is away", crumbs=_crumbs("Somebody is away")
    )


@require_http_methods(["GET", "POST"])
def absence_detail(request: PersonRequest, pk: int) -> HttpResponse:
    """Which bookings it touches; and the way to take it back."""
    to = Can.EDIT_SCHEDULE if request.method == "POST" else None
    absence = get_absence(request.user, pk, to=to)
    if request.method == "POST":
        cancel_absence(absence=absence, actor=request.user, at=timezone.now())
        messages.success(request, "They are there on these days.")
        return redirect("scheduling:absence_list")
    shown = {
        "absence": absence,
        "who": absence.person or absence.crew,
        "why": why_away(absence),
        "touched": touched_by_absence(absence, timezone.now()),
        "crumbs": _crumbs(str(absence.person or absence.crew)),
    }
    return render(request, "scheduling/absence_detail.html", shown)


def why_away(absence: Absence) -> str:
    """Why a draft is made. The reason may be about somebody's health: it stays out."""
    days = say_day(absence.from_on)
    if absence.to_on != absence.from_on:
        days += f" to {say_day(absence.to_on)}"
    return f"{absence.person or absence.crew} away {days}"


@require_http_methods(["GET", "POST"])
def closure_add(request: PersonRequest) -> HttpResponse:
    """Shut the firm for some days."""
    require(request.user, Can.EDIT_SCHEDULE)
    form = ClosureForm(request.POST or None)
    if form.is_valid():
        with refusals_in(form):
            add_closure(actor=request.user, at=timezone.now(), **form.cleaned_data)
            messages.success(request, "The firm is shut on these days.")
            return redirect("scheduling:absence_list")
    return form_page(
        request,
        form,
        heading="Shut the firm",
        lede="Bookings lose these days. Make a draft to plan them again.",
        crumbs=_crumbs("Shut the firm"),
    )


@require_http_methods(["GET", "POST"])
def closure_remove(request: PersonRequest, pk: int) -> HttpResponse:
    """Open the firm on days it was to be shut."""
    closure = get_closure(request.user, pk, to=Can.EDIT_SCHEDULE)
    if request.method == "POST":
        remove_closure(closure=closure, actor=request.user, at=timezone.now())
        messages.success(request, "The firm works on these days.")
        return redirect("scheduling:absence_list")
    return confirm_page(
        request,
        says=f"Work from {say_day(closure.from_on)} to {say_day(closure.to_on)} "
        f"({closure.reason}) after all?",
        button="Work on these days",
        button_class="btn-primary",
        back=reverse("scheduling:absence_list"),
    )


@require_http_methods(["GET", "POST"])
def lostday_add(request: PersonRequest) -> HttpResponse:
    """Call a day off: the office any, a site lead that of a job they lead."""
    person = request.user
    office = person.can(Can.EDIT_SCHEDULE)
    if not office and not person.can(Can.RUN_SITE_DAY):
        raise PermissionDenied("Only the office and site leads may call a day off.")
    jobs = visible_jobs(person).open()
    now = timezone.now()
    form = LostDayForm(
        request.POST or None,
        jobs=jobs if office else jobs.filter(site_lead=person),
        all_jobs=office,
        initial={"day": local_day(now, request.firm), "job": request.GET.get("job")},
    )
    if form.is_valid():
        with refusals_in(form):
            if not office:
                return _called_off_on_site(request, form, now)
            lost = record_lost_day(actor=person, at=now, **form.cleaned_data)
            messages.success(request, f"{say_day(lost.day)} is called off.")
            if THEN_DRAFT in request.POST:
                return start_draft(request, why=why_lost(lost), mends=True)
            return redirect("scheduling:lostday_detail", lost.pk)
    # The list of days off is not for site leads.
    return form_page(
        request,
        form,
        heading="Call a day off",
        crumbs=_crumbs("Call a day off") if office else [],
        template="scheduling/lostday_add.html",
        mine=own_lost_days(person, local_day(now, request.firm)),
    )


def _called_off_on_site(
    request: PersonRequest, form: LostDayForm, now: datetime
) -> HttpResponse:
    lost, draft = call_off_on_site(actor=request.user, at=now, **form.cleaned_data)
    then = " The office gets a draft that plans around it." if draft else ""
    messages.success(request, f"{say_day(lost.day)} is called off.{then}")
    return redirect("scheduling:lostday_detail", lost.pk)


@require_http_methods(["GET", "POST"])
def lostday_detail(request: PersonRequest, pk: int) -> HttpResponse:
    """A day called off, and the way to take that back."""
    to = Can.EDIT_SCHEDULE if request.method == "POST" else None
    lost = get_lost_day(request.user, pk, to=to)
    lists = request.user.can(Can.SEE_SCHEDULE)  # others come from their job
    if request.method == "POST":
        cancel_lost_day(lost=lost, actor=request.user, at=timezone.now())
        messages.success(request, f"{say_day(lost.day)} is worked after all.")
        if lists:
            return redirect("scheduling:absence_list")
        return redirect("jobs:job_detail", lost.job_id)
    shown = {
        "lost": lost,
        "may_undo": may_undo_lost_day(request.user, lost),
        "why": why_lost(lost),
        "touched": touched_by_lost_day(lost, timezone.now()),
        "crumbs": _crumbs(say_day(lost.day)) if lists else [],
    }
    return render(request, "scheduling/lostday_detail.html", shown)
