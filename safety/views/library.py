"""The firm's hazard library in the browser: list, one hazard, and every change of it."""

from dataclasses import replace
from functools import partial
from typing import Any

from django.contrib import messages
from django.http import Http404, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_safe

from jobs.domain.roles import Can
from jobs.permissions import require
from jobs.views.pages import (
    Crumbs,
    PersonRequest,
    confirm_page,
    form_page,
    page_of,
    refusals_as_messages,
    refusals_in,
)
from safety.domain.fact_kinds import by_subject
from safety.domain.fact_names import FACTS
from safety.domain.library import Control, Hazard
from safety.domain.risk import Matrix
from safety.forms.controls import ControlForm
from safety.forms.library import (
    OWN,
    HazardForm,
    NewHazardForm,
    free_key,
    scope_of,
)
from safety.forms.library_files import STANDINGS, HazardFilter, SwitchForm
from safety.library import firm_matrix
from safety.queries.condition_choices import asked_of
from safety.queries.library import (
    FirmLibrary,
    changes_from_shipped,
    firm_library,
    hazard_digest,
    hazard_rows,
    standing,
    waiting_update,
)
from safety.queries.library_page import hazard_page
from safety.services.library import (
    add_hazard,
    drop_hazard,
    edit_hazard,
    switch_hazard,
)
from safety.views.condition_buttons import part, reading, sent


def library_crumbs(*more: tuple[str, str]) -> Crumbs:
    """Where a page of the library is."""
    return [("Hazards", reverse("safety:hazard_list")), *more]


def _here(hazard: Hazard, last: str) -> Crumbs:
    name = hazard_page_name(hazard)
    return library_crumbs((name, _url(hazard.key)), (last, ""))


def hazard_page_name(hazard: Hazard) -> str:
    """A hazard in a few words, for the trail."""
    return hazard.key.removeprefix(OWN).replace("_", " ").capitalize()


def _url(key: str) -> str:
    return reverse("safety:hazard_detail", args=[key])


def _library(request: PersonRequest) -> FirmLibrary:
    require(request.user, Can.EDIT_LIBRARY)
    return firm_library()


def _hazard(library: FirmLibrary, key: str) -> Hazard:
    hazard = library.hazards.by_key().get(key)
    if hazard is None:
        raise Http404("The library has no such hazard.")
    return hazard


def _matrix(request: PersonRequest) -> Matrix:
    return firm_matrix(request.firm)


@require_safe
def hazard_list(request: PersonRequest) -> HttpResponse:
    """Every hazard that plans are made from."""
    library = _library(request)
    form = HazardFilter(request.GET or None, themes=library.themes)
    asked: dict[str, str] = form.cleaned_data if form.is_valid() else {}
    rows = hazard_rows(
        library,
        theme=asked.get("file", ""),
        state=asked.get("state", ""),
        words=asked.get("words", ""),
    )
    shown = {
        "form": form,
        "page": page_of(request, rows),
        "standings": STANDINGS,
        "total": len(library.hazards.hazards),
        "update": waiting_update(library),
        "crumbs": [("Hazards", "")],
    }
    return render(request, "safety/hazard_list.html", shown)


@require_safe
def hazard_detail(request: PersonRequest, key: str) -> HttpResponse:
    """One hazard in plain words, with its controls."""
    library = _library(request)
    hazard = _hazard(library, key)
    shown = {
        "hazard": hazard,
        "page": hazard_page(hazard, _matrix(request)),
        "theme": library.themes[hazard.theme],
        "standing": standing(hazard, library),
        "is_own": hazard.key.startswith(OWN),
        "standings": STANDINGS,
        "changes": changes_from_shipped(hazard, library),
        "crumbs": library_crumbs((hazard_page_name(hazard), "")),
    }
    return render(request, "safety/hazard_detail.html", shown)


def _edit_page(
    request: PersonRequest, form: Any, hazard: Hazard | None, heading: str, **more: Any
) -> HttpResponse:
    scope = hazard.scope if hazard else form.sees
    crumbs = _here(hazard, heading) if hazard else library_crumbs((heading, ""))
    if isinstance(form, HazardForm):
        more["reading"] = reading(request, form, more.pop("button", None))
    return form_page(
        request,
        form,
        heading=heading,
        crumbs=crumbs,
        template=more.pop("template", "safety/hazard_form.html"),
        facts=by_subject(one for one in asked_of(scope).values() if one.name in FACTS),
        **more,
    )


@require_http_methods(["GET", "POST"])
def hazard_add(request: PersonRequest) -> HttpResponse:
    """Add a hazard of the firm's own, with its first control."""
    library = _library(request)
    now = sent(request, scope_of(request.POST))
    make = partial(NewHazardForm, matrix=_matrix(request), themes=library.themes)
    form = make(now.data)
    control = ControlForm(now.data, prefix="control", scope=form.sees)
    if now.button:
        form = make(initial=now.initial(form))
        start = now.initial(control)
        control = ControlForm(initial=start, prefix="control", scope=form.sees)
        if answer := part(request, now, form.sees, form, control):
            return answer
    elif form.is_valid() and control.is_valid():
        key = free_key(form.cleaned_data["name"].text, _keys(library))
        hazard = form.hazard(key, control.control(f"{key}_first"))
        with refusals_in(form):
            add_hazard(hazard=hazard, actor=request.user, at=timezone.now())
            messages.success(request, "The hazard is in the library and in its plans.")
            return redirect(_url(key))
    refused = form.is_bound and not (form.is_valid() and control.is_valid())
    response = _edit_page(
        request,
        form,
        None,
        "Add a hazard",
        template="safety/hazard_add.html",
        control=control,
        button=now.button,
    )
    response.status_code = 422 if refused else response.status_code
    return response


def _keys(library: FirmLibrary) -> set[str]:
    hazards = library.hazards
    return {*hazards.by_key(), *(control.key for control in hazards.controls())}


@require_http_methods(["GET", "POST"])
def hazard_edit(request: PersonRequest, key: str) -> HttpResponse:
    """Change a hazard: its words, when it is there, how bad it is."""
    hazard = _hazard(_library(request), key)
    start = {**HazardForm.starting(hazard), "seen": hazard_digest(hazard)}
    make = partial(HazardForm, matrix=_matrix(request), scope=hazard.scope)
    now = sent(request, hazard.scope)
    form = make(now.data, initial=start)
    if now.button:
        form = make(initial=now.initial(form))
        if answer := part(request, now, hazard.scope, form):
            return answer
    elif form.is_valid():
        changed = replace(hazard, **form.parts())
        if _saved(request, form, changed, "changed"):
            return redirect(_url(key))
    return _edit_page(request, form, hazard, "Change this hazard", button=now.button)


def _saved(request: PersonRequest, form: Any, hazard: Hazard, does: str) -> bool:
    with refusals_in(form):
        edit_hazard(
            hazard=hazard,
            seen=form.cleaned_data["seen"],
            does=does,
            actor=request.user,
            at=timezone.now(),
        )
        messages.success(
            request, "The library is changed. Plans follow it from now on."
        )
    return not form.errors


@require_http_methods(["GET", "POST"])
def control_add(request: PersonRequest, key: str) -> HttpResponse:
    """Add a control to a hazard."""
    library = _library(request)
    hazard = _hazard(library, key)
    now, start = sent(request, hazard.scope), {"seen": hazard_digest(hazard)}
    form = ControlForm(now.data, initial=start, scope=hazard.scope)
    if now.button:
        form = ControlForm(initial=now.initial(form), scope=hazard.scope)
        if answer := part(request, now, hazard.scope, form):
            return answer
    elif form.is_valid():
        name = free_key(form.cleaned_data["text"].text, _keys(library))
        changed = replace(hazard, controls=(*hazard.controls, form.control(name)))
        if _saved(request, form, changed, f"added the control {name}"):
            return redirect(_url(key))
    return _edit_page(request, form, hazard, "Add a control")


def _control(hazard: Hazard, key: str) -> Control:
    for control in hazard.controls:
        if control.key == key:
            return control
    raise Http404("The hazard has no such control.")


@require_http_methods(["GET", "POST"])
def control_edit(request: PersonRequest, key: str, control: str) -> HttpResponse:
    """Change one control."""
    hazard = _hazard(_library(request), key)
    old = _control(hazard, control)
    start = ControlForm.starting(old) | {"seen": hazard_digest(hazard)}
    now = sent(request, hazard.scope)
    form = ControlForm(now.data, initial=start, scope=hazard.scope)
    if now.button:
        form = ControlForm(initial=now.initial(form), scope=hazard.scope)
        if answer := part(request, now, hazard.scope, form):
            return answer
    elif form.is_valid():
        new = form.control(old.key)
        changed = replace(
            hazard,
            controls=tuple(new if one is old else one for one in hazard.controls),
        )
        if _saved(request, form, changed, f"changed the control {old.key}"):
            return redirect(_url(key))
    return _edit_page(request, form, hazard, "Change this control")


@require_http_methods(["GET", "POST"])
def control_drop(request: PersonRequest, key: str, control: str) -> HttpResponse:
    """Take a control out, after asking once more."""
    hazard = _hazard(_library(request), key)
    old = _control(hazard, control)
    if request.method == "POST":
        left = tuple(one for one in hazard.controls if one is not old)
        with refusals_as_messages(request):
            edit_hazard(
                hazard=replace(hazard, controls=left),
                seen=hazard_digest(hazard),
                does=f"took out the control {old.key}",
                actor=request.user,
                at=timezone.now(),
            )
            messages.success(request, "The control is out of the library.")
        return redirect(_url(key))
    return confirm_page(
        request,
        says="Take this control out?",
        then=[old.text.text, "Plans that have it say so, and people sign on again."],
        button="Take it out",
        back=_url(key),
        heading="Take a control out",
        crumbs=_here(hazard, "Take a control out"),
    )


@require_http_methods(["GET", "POST"])
def hazard_drop(request: PersonRequest, key: str) -> HttpResponse:
    """Take a hazard of the firm's own out of the library, after asking once more."""
    hazard = _hazard(_library(request), key)
    if request.method == "POST":
        back = _url(key)
        with refusals_as_messages(request):
            drop_hazard(
                key=key,
                seen=hazard_digest(hazard),
                actor=request.user,
                at=timezone.now(),
            )
            messages.success(request, "The hazard is out of the library.")
            back = reverse("safety:hazard_list")
        return redirect(back)
    return confirm_page(
        request,
        says="Take this hazard out of the library?",
        then=[
            hazard.harm,
            "Plans that have it say so, and people sign on again. Days before keep it.",
        ],
        button="Take it out",
        back=_url(key),
        heading="Take a hazard out",
        crumbs=_here(hazard, "Take it out"),
    )


@require_http_methods(["GET", "POST"])
def hazard_switch(request: PersonRequest, key: str) -> HttpResponse:
    """Switch a hazard off for a reason, or on again."""
    hazard = _hazard(_library(request), key)
    seen = hazard_digest(hazard)
    if hazard.off:
        return _switch_on(request, hazard, seen)
    form = SwitchForm(request.POST or None, initial={"seen": seen})
    if form.is_valid():
        with refusals_in(form):
            switch_hazard(
                key=key,
                off=" ".join(form.cleaned_data["reason"].split()),
                seen=form.cleaned_data["seen"],
                actor=request.user,
                at=timezone.now(),
            )
            messages.success(request, "It is switched off. It stays in the library.")
            return redirect(_url(key))
    return form_page(
        request,
        form,
        heading="Switch this hazard off",
        lede="No plan has it from then on. A shipped hazard is never deleted.",
        crumbs=_here(hazard, "Switch off"),
    )


def _switch_on(request: PersonRequest, hazard: Hazard, seen: str) -> HttpResponse:
    if request.method == "POST":
        with refusals_as_messages(request):
            switch_hazard(
                key=hazard.key,
                off="",
                seen=seen,
                actor=request.user,
                at=timezone.now(),
            )
            messages.success(request, "It counts again.")
        return redirect(_url(hazard.key))
    return confirm_page(
        request,
        says="Switch this hazard on again?",
        then=[f"It was switched off because: {hazard.off}"],
        button="Switch it on",
        back=_url(hazard.key),
        heading="Switch this hazard on",
        crumbs=_here(hazard, "Switch on"),
    )
