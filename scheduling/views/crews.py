"""Crews and who is in them."""

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_safe

from jobs.domain.roles import Can
from jobs.permissions import require
from jobs.queries import local_day
from jobs.views.pages import Crumbs, PersonRequest, form_page, refusals_in
from scheduling.forms.crews import CrewForm, JoinForm, LeaveForm
from scheduling.models import Crew
from scheduling.permissions import get_crew, get_crew_member, visible_crews
from scheduling.queries.crews import bookings_ahead, crews_with_places, without_crew
from scheduling.services.crews import add_crew, edit_crew, join_crew, leave_crew


def _crumbs(crew: Crew | None = None, last: str = "") -> Crumbs:
    crumbs = [("Crews", reverse("scheduling:crew_list"))]
    if crew is not None:
        here = reverse("scheduling:crew_detail", args=[crew.pk]) if last else ""
        crumbs.append((crew.name, here))
    return [*crumbs, (last, "")] if last else crumbs


@require_safe
def crew_list(request: PersonRequest) -> HttpResponse:
    """All crews with their people; for a crew member, their own."""
    today = local_day(timezone.now(), request.firm)
    office = request.user.can(Can.EDIT_SCHEDULE)
    shown = {
        "crews": crews_with_places(visible_crews(request.user), today),
        "without_crew": without_crew(today) if office else (),
    }
    return render(request, "scheduling/crew_list.html", shown)


@require_safe
def crew_detail(request: PersonRequest, pk: int) -> HttpResponse:
    """One crew: its people, and what it does next."""
    crew = get_crew(request.user, pk)
    now = timezone.now()
    today = local_day(now, request.firm)
    places = crew.members.select_related("person").order_by("from_on", "person__name")
    shown = {
        "crew": crew,
        "places": [p for p in places if p.to_on is None or p.to_on >= today],
        "bookings": bookings_ahead(crew, today, now),
        "crumbs": _crumbs(crew),
        "today": today,
    }
    return render(request, "scheduling/crew_detail.html", shown)


@require_http_methods(["GET", "POST"])
def crew_add(request: PersonRequest) -> HttpResponse:
    """Add a crew."""
    require(request.user, Can.EDIT_SCHEDULE)
    form = CrewForm(request.POST or None)
    if form.is_valid():
        with refusals_in(form):
            crew = add_crew(values=form.values(), actor=request.user, at=timezone.now())
            messages.success(request, f"{crew.name} is added. Now put people in it.")
            return redirect("scheduling:crew_detail", crew.pk)
    return form_page(
        request, form, heading="Add a crew", crumbs=_crumbs(last="Add a crew")
    )


@require_http_methods(["GET", "POST"])
def crew_edit(request: PersonRequest, pk: int) -> HttpResponse:
    """Change a crew."""
    crew = get_crew(request.user, pk, to=Can.EDIT_SCHEDULE)
    crumbs = _crumbs(crew, "Change")
    form = CrewForm(request.POST or None, instance=crew)
    if form.is_valid():
        with refusals_in(form, crew):
            edit_crew(
                crew=crew,
                version=form.opened_version(),
                values=form.values(),
                actor=request.user,
                at=timezone.now(),
            )
            messages.success(request, "Saved.")
            return redirect("scheduling:crew_detail", pk)
    return form_page(request, form, heading="Change the crew", crumbs=crumbs)


@require_http_methods(["GET", "POST"])
def crew_join(request: PersonRequest, pk: int) -> HttpResponse:
    """Put somebody in a crew."""
    crew = get_crew(request.user, pk, to=Can.EDIT_SCHEDULE)
    now = timezone.now()
    initial = {"from_on": local_day(now, request.firm)}
    form = JoinForm(request.POST or None, initial=initial)
    if form.is_valid():
        with refusals_in(form):
            place = join_crew(
                crew=crew, actor=request.user, at=now, **form.cleaned_data
            )
            messages.success(request, f"{place.person} is in {crew}.")
            return redirect("scheduling:crew_detail", pk)
    return form_page(
        request,
        form,
        heading=f"Put somebody in {crew}",
        crumbs=_crumbs(crew, "Put somebody in"),
    )


@require_http_methods(["GET", "POST"])
def crew_leave(request: PersonRequest, pk: int) -> HttpResponse:
    """End somebody's place in a crew."""
    place = get_crew_member(request.user, pk, to=Can.EDIT_SCHEDULE)
    form = LeaveForm(request.POST or None)
    if form.is_valid():
        with refusals_in(form):
            leave_crew(
                place=place,
                to_on=form.cleaned_data["to_on"],
                actor=request.user,
                at=timezone.now(),
            )
            messages.success(request, f"{place.person} leaves {place.crew}.")
            return redirect("scheduling:crew_detail", place.crew_id)
    return form_page(
        request,
        form,
        heading=f"{place.person} leaves {place.crew}",
        crumbs=_crumbs(place.crew, "Leave"),
    )
