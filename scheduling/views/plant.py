"""Shared plant: what there is, and what is out of service."""

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_safe

from jobs.domain.roles import Can
from jobs.permissions import require
from jobs.queries import local_day
from jobs.views.pages import (
    Crumbs,
    PersonRequest,
    confirm_page,
    form_page,
    refusals_in,
)
from scheduling.domain.calendar import say_day
from scheduling.forms.crews import THEN_DRAFT
from scheduling.forms.plant import PlantForm, PlantOutForm
from scheduling.permissions import get_plant, get_plant_out
from scheduling.queries.plant import plant_rows
from scheduling.services.plant import (
    add_plant,
    edit_plant,
    put_plant_back,
    take_plant_out,
)
from scheduling.views.drafts import start_draft


def _crumbs(last: str) -> Crumbs:
    return [
        ("Plan", reverse("scheduling:plan")),
        ("Shared plant", reverse("scheduling:plant_list")),
        (last, ""),
    ]


@require_safe
def plant_list(request: PersonRequest) -> HttpResponse:
    """What the firm has few of, how many visits want it, and what is missing."""
    require(request.user, Can.SEE_SCHEDULE)
    today = local_day(timezone.now(), request.firm)
    shown = {
        "rows": plant_rows(today),
        "crumbs": [*_crumbs("")[:1], ("Shared plant", "")],
    }
    return render(request, "scheduling/plant_list.html", shown)


@require_http_methods(["GET", "POST"])
def plant_add(request: PersonRequest) -> HttpResponse:
    """Say that the firm has few of something."""
    require(request.user, Can.EDIT_SCHEDULE)
    form = PlantForm(request.POST or None)
    if form.is_valid():
        with refusals_in(form):
            plant = add_plant(
                values=form.values(), actor=request.user, at=timezone.now()
            )
            messages.success(request, f"{plant} is added. Drafts count it from now on.")
            return redirect("scheduling:plant_list")
    return form_page(
        request,
        form,
        heading="Add shared plant",
        lede="For what jobs wait for because the firm has few",
        crumbs=_crumbs("Add"),
    )


@require_http_methods(["GET", "POST"])
def plant_edit(request: PersonRequest, pk: int) -> HttpResponse:
    """Change what it is called, or how many there are."""
    plant = get_plant(request.user, pk, to=Can.EDIT_SCHEDULE)
    form = PlantForm(request.POST or None, instance=plant)
    if form.is_valid():
        with refusals_in(form, plant):
            edit_plant(
                plant=plant,
                version=form.opened_version(),
                values=form.values(),
                actor=request.user,
                at=timezone.now(),
            )
            messages.success(request, "Saved.")
            return redirect("scheduling:plant_list")
    return form_page(request, form, heading="Change it", crumbs=_crumbs(plant.name))


@require_http_methods(["GET", "POST"])
def plant_out(request: PersonRequest, pk: int) -> HttpResponse:
    """Some of it cannot be used for some days."""
    plant = get_plant(request.user, pk, to=Can.EDIT_SCHEDULE)
    form = PlantOutForm(request.POST or None)
    if form.is_valid():
        with refusals_in(form):
            out = take_plant_out(
                plant=plant, actor=request.user, at=timezone.now(), **form.cleaned_data
            )
            until = say_day(out.to_on)
            messages.success(request, f"{plant} is out of service until {until}.")
            if THEN_DRAFT in request.POST:
                why = f"{plant} out of service until {until}"
                return start_draft(request, why=why, mends=True)
            return redirect("scheduling:plant_list")
    heading = f"{plant} cannot be used"
    return form_page(request, form, heading=heading, crumbs=_crumbs(plant.name))


@require_http_methods(["GET", "POST"])
def plant_back(request: PersonRequest, pk: int) -> HttpResponse:
    """It can be used on these days after all."""
    out = get_plant_out(request.user, pk, to=Can.EDIT_SCHEDULE)
    if request.method == "POST":
        put_plant_back(out=out, actor=request.user, at=timezone.now())
        messages.success(request, f"{out.plant} can be used on these days.")
        return redirect("scheduling:plant_list")
    return confirm_page(
        request,
        says=f"{out.plant} can be used from {say_day(out.from_on)} "
        f"to {say_day(out.to_on)} after all?",
        button="It can be used",
        button_class="btn-primary",
        back=reverse("scheduling:plant_list"),
    )
