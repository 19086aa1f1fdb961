"""The firm's tools on a lead: the list, one tool with its tests, and each write."""

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
from jobs.permissions import require
from jobs.queries.firm import local_day
from jobs.views.pages import Crumbs, PersonRequest, form_page, refusals_in
from safety.forms.tool_tests import ToolItemForm, ToolReasonForm, ToolTestForm
from safety.models import ToolItem
from safety.permissions import get_tool_item, get_tool_test
from safety.queries.tool_tests import item_row, test_rule
from safety.services.tool_tests import (
    list_tool,
    record_tool_test,
    switch_tool_tests,
    take_back_tool_test,
    unlist_tool,
)


def _crumbs(item: ToolItem | None, last: str) -> Crumbs:
    crumbs = [("Our tools", reverse("safety:own_tool_list"))]
    if item is not None:
        page = reverse("safety:tool_item_detail", args=[item.pk])
        crumbs.append((item.name, page if last else ""))
    return [*crumbs, (last, "")] if last else crumbs


@require_safe
def tool_item_detail(request: PersonRequest, pk: int) -> HttpResponse:
    """One tool with every test that was ever written down."""
    item, now = get_tool_item(request.user, pk), timezone.now()
    today = local_day(now, request.firm)
    edits = request.user.can(Can.EDIT_LIBRARY)
    shown = {
        "item": item,
        "row": item_row(item, request.firm, today, now),
        "tests": item.tests.select_related("recorded_by").reverse(),
        "rule": test_rule(request.firm.pack, today),
        "edits": edits,
        "crumbs": _crumbs(item, "") if request.user.can(Can.SEE_TOOLS) else [],
    }
    return render(request, "safety/tool_item_detail.html", shown)


@require_http_methods(["GET", "POST"])
def tool_item_add(request: PersonRequest) -> HttpResponse:
    """Put a tool on the list."""
    require(request.user, Can.EDIT_LIBRARY)
    form = ToolItemForm(request.POST or None)
    if form.is_valid():
        with refusals_in(form):
            item = list_tool(**form.cleaned_data, actor=request.user, at=timezone.now())
            messages.success(request, f"{item.name} is on the list. Now its last test.")
            return redirect("safety:tool_test_add", item.pk)
    heading = "Put a tool on the list"
    return form_page(request, form, heading=heading, crumbs=_crumbs(None, heading))


@require_http_methods(["GET", "POST"])
def tool_item_drop(request: PersonRequest, pk: int) -> HttpResponse:
    """Take a tool off the list."""
    item = get_tool_item(request.user, pk, to=Can.EDIT_LIBRARY)
    form = ToolReasonForm(request.POST or None)
    if form.is_valid():
        with refusals_in(form):
            unlist_tool(
                item=item,
                why=form.cleaned_data["why"],
                actor=request.user,
                at=timezone.now(),
            )
            messages.success(request, f"{item.name} is off the list. Its tests stay.")
            return redirect("safety:own_tool_list")
    return form_page(
        request,
        form,
        heading=f"Take {item.name} off the list",
        lede="It holds no work from now on. Its tests are kept.",
        crumbs=_crumbs(item, "Off the list"),
    )


@require_http_methods(["GET", "POST"])
def tool_test_add(request: PersonRequest, pk: int) -> HttpResponse:
    """Write a test down."""
    item = get_tool_item(request.user, pk, to=Can.EDIT_LIBRARY)
    form = ToolTestForm(request.POST or None)
    if form.is_valid():
        with refusals_in(form):
            record_tool_test(
                item=item, **form.values(), actor=request.user, at=timezone.now()
            )
            messages.success(request, f"{item.name}: the test is written down.")
            return redirect("safety:tool_item_detail", item.pk)
    return form_page(
        request,
        form,
        heading=f"Electrical test of {item.name}",
        crumbs=_crumbs(item, "A test"),
    )


@require_http_methods(["GET", "POST"])
def tool_test_take_back(request: PersonRequest, pk: int) -> HttpResponse:
    """Take a mistaken test back."""
    test = get_tool_test(request.user, pk)
    form = ToolReasonForm(request.POST or None)
    if form.is_valid():
        with refusals_in(form):
            take_back_tool_test(
                test=test,
                why=form.cleaned_data["why"],
                actor=request.user,
                at=timezone.now(),
            )
            messages.success(request, "Taken back. It stays in the list, struck out.")
            return redirect("safety:tool_item_detail", test.item_id)
    return form_page(
        request,
        form,
        heading=f"Take back a test of {test.item.name}",
        lede="It no longer counts from now on.",
        crumbs=_crumbs(test.item, "Take back"),
    )


@require_POST
def tool_tests_switch(request: PersonRequest) -> HttpResponse:
    """Let tests hold work or not, where no law asks for them."""
    require(request.user, Can.EDIT_LIBRARY)
    off = request.POST.get("off") == "yes"
    try:
        switch_tool_tests(
            off=off,
            version=request.firm.version,
            actor=request.user,
            at=timezone.now(),
        )
    except Refused as refused:
        messages.error(request, " ".join(refused.reasons))
    else:
        messages.success(
            request, "Tests hold no work now." if off else "Tests hold work now."
        )
    return redirect("safety:own_tool_list")
