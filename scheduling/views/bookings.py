"""One booking of the published plan, and changing the plan by hand."""

from datetime import date
from typing import Any

from django import forms
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
from jobs.permissions import get_job
from jobs.queries.holds import hold_rows
from jobs.views.pages import (
    Crumbs,
    PersonRequest,
    StaleNotice,
    confirm_page,
    form_page,
    refusals_in,
)
from scheduling.forms.bookings import MoveForm, OffForm, PlaceForm
from scheduling.models import Booking, Visit
from scheduling.permissions import get_booking, get_visit
from scheduling.queries.booking_page import view_of, work_days
from scheduling.queries.drafts import plan_head
from scheduling.queries.invitations import answers_of
from scheduling.queries.moving import proposal
from scheduling.queries.placing import live_booking
from scheduling.queries.slots import start_of
from scheduling.services.bookings import (
    Breaks,
    book_visit,
    cancel_booking,
    pin_booking,
)
from scheduling.services.plan_head import Overtaken
from scheduling.services.visits import sync_visits


def _crumbs(request: PersonRequest, visit: Visit, last: str) -> Crumbs:
    job = reverse("jobs:job_detail", args=[visit.job_id])
    sees_plan = request.user.can(Can.SEE_SCHEDULE)
    plan = [("Plan", reverse("scheduling:plan"))] if sees_plan else []
    return [*plan, (str(visit.job), job), (last, "")]


@require_safe
def booking_detail(request: PersonRequest, pk: int) -> HttpResponse:
    """A visit in the plan: who, when, what holds it."""
    booking = get_booking(request.user, pk)
    view = view_of(booking, timezone.now())
    visit = booking.visit
    shown = {
        "booking": booking,
        "visit": visit,
        "view": view,
        "holds": hold_rows(view.holds) if view else (),
        "days": work_days(booking),
        "tasks": visit.tasks.order_by("position", "pk"),
        "answers": answers_of(booking),
        "crumbs": _crumbs(request, visit, f"Visit {visit.ordinal}"),
    }
    return render(request, "scheduling/booking_detail.html", shown)


@require_http_methods(["GET", "POST"])
def visit_book(request: PersonRequest, pk: int) -> HttpResponse:
    """Book a visit by hand, or move it; what that breaks is said first."""
    visit = get_visit(request.user, pk, to=Can.EDIT_SCHEDULE)
    booking = live_booking(visit)
    form = PlaceForm(request.POST or None, initial=_initial(booking))
    breaks: tuple[str, ...] = ()
    if form.is_valid():
        with refusals_in(form):
            try:
                placed = _book(request, visit, form)
            except Overtaken:
                _count_from_now(form)
                booking = live_booking(visit)
            except Breaks as error:
                breaks = error.reasons
                form.ask_to_accept()
            else:
                messages.success(request, f"Booked for {placed.crew}.")
                if request.POST.get("then") == "plan":
                    return redirect(_week_of(placed))
                return redirect("scheduling:booking_detail", placed.pk)
    shown: dict[str, Any] = {
        "visit": visit,
        "booking": booking,
        "sizes": sorted(visit.halves.items()),
        "breaks": breaks,
        "crumbs": _crumbs(request, visit, "Book"),
        "url": _week(form.cleaned_data.get("start_on")) if form.is_bound else "",
    }
    heading = f"{'Move' if booking else 'Book'} visit {visit.ordinal} of {visit.job}"
    answer = form_page(
        request, form, heading=heading, template="scheduling/visit_book.html", **shown
    )
    answer.status_code = 422 if breaks else answer.status_code
    return answer


def _week_of(booking: Booking) -> str:
    """The plan, with the booking's first day on it."""
    return _week(booking.start_on)


def _week(day: date | None) -> str:
    """The plan, with a day on it."""
    query = {"start": day.isoformat()} if day is not None else {}
    return reverse("scheduling:plan", query=query)


def _count_from_now(form: forms.Form) -> None:
    """Let the next press of the button count against the plan as it is now.

    What was accepted was said of the older plan, so it is asked again.
    """
    head = plan_head()
    data: Any = form.data.copy()  # type: ignore[attr-defined]
    data["based_on"] = str(head.number)
    data.pop("accept", None)
    form.data = data
    form.stale = StaleNotice(  # type: ignore[attr-defined]
        who=str(head.published_by or ""), when=head.published_at, changes=()
    )


@require_safe
def visit_move(request: PersonRequest, pk: int) -> HttpResponse:
    """What moving a booked visit would break, and the places beside. Moves nothing."""
    visit = get_visit(request.user, pk, to=Can.EDIT_SCHEDULE)
    booking = live_booking(visit)
    if booking is None:
        return redirect("scheduling:visit_book", pk)
    form = MoveForm(request.GET or None)
    there = (booking.crew, start_of(booking))
    if form.is_valid():
        there = (form.cleaned_data["crew"], form.start())
    shown = {
        "visit": visit,
        "booking": booking,
        "found": proposal(visit, booking, *there, request.firm, timezone.now()),
        "head": plan_head(),
        "crumbs": _crumbs(request, visit, "Move"),
    }
    part = "_move" if request.htmx else "visit_move"
    return render(request, f"scheduling/{part}.html", shown)


def _initial(booking: Booking | None) -> dict[str, Any]:
    initial: dict[str, Any] = {"based_on": plan_head().number}
    if booking is not None:
        initial |= {
            "crew": booking.crew_id,
            "start_on": booking.start_on,
            "start_half": booking.start_half,
            "pinned": booking.is_pinned,
        }
    return initial


def _book(request: PersonRequest, visit: Visit, form: PlaceForm) -> Booking:
    typed = form.cleaned_data
    return book_visit(
        visit=visit,
        crew=typed["crew"],
        start=form.start(),
        pinned=typed["pinned"],
        accept=typed["accept"],
        based_on=typed["based_on"],
        actor=request.user,
        at=timezone.now(),
    )


@require_POST
def booking_pin(request: PersonRequest, pk: int) -> HttpResponse:
    """Say whether drafts must leave it where it is."""
    booking = get_booking(request.user, pk, to=Can.EDIT_SCHEDULE)
    pinned = bool(request.POST.get("pinned"))
    try:
        pin_booking(
            booking=booking, pinned=pinned, actor=request.user, at=timezone.now()
        )
    except Refused as error:
        messages.error(request, " ".join(error.reasons))
    else:
        says = "Drafts leave it where it is." if pinned else "Drafts may move it."
        messages.success(request, says)
    return redirect("scheduling:booking_detail", pk)


@require_http_methods(["GET", "POST"])
def booking_off(request: PersonRequest, pk: int) -> HttpResponse:
    """Take a visit off the published plan."""
    booking = get_booking(request.user, pk, to=Can.EDIT_SCHEDULE)
    form = OffForm(request.POST or None, initial={"based_on": plan_head().number})
    reasons: tuple[str, ...] = ()
    if form.is_valid():
        try:
            cancel_booking(
                booking=booking,
                reason=form.cleaned_data["reason"],
                based_on=form.cleaned_data["based_on"],
                actor=request.user,
                at=timezone.now(),
            )
        except Overtaken as error:
            _count_from_now(form)
            again = "To take it off all the same, press the button again."
            reasons = (*error.reasons, again)
        except Refused as error:
            reasons = error.reasons
        else:
            messages.success(request, "It is off the plan. Calendars are told.")
            return redirect("jobs:job_detail", booking.visit.job_id)
    return confirm_page(
        request,
        says=f"Take visit {booking.visit.ordinal} of {booking.visit.job} off the plan?",
        button="Take it off the plan",
        back=reverse("scheduling:booking_detail", args=[pk]),
        form=form,
        reasons=reasons,
    )


@require_POST
def visits_cut(request: PersonRequest, pk: int) -> HttpResponse:
    """Cut a job's sequence into visits, so that it can be booked."""
    job = get_job(request.user, pk, to=Can.EDIT_SCHEDULE)
    visits = sync_visits(job=job, actor=request.user, at=timezone.now())
    if visits:
        messages.success(request, f"The job is cut into {len(visits)} visits.")
    else:
        messages.warning(request, "Set the dimensions first; visits follow from them.")
    return redirect(f"{reverse('jobs:job_detail', args=[pk])}#visits")
