"""The firm's own tools: figures measured or declared, and the list of those tested."""

from django.contrib import messages
from django.http import Http404, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_safe

from jobs.domain.holds import Basis
from jobs.domain.roles import Can
from jobs.library import tools
from jobs.permissions import require
from jobs.queries.firm import local_day
from jobs.views.pages import PersonRequest, form_page, refusals_in
from safety.domain.own_tools import OwnTool, own_tools
from safety.forms.own_tools import OwnToolForm
from safety.queries.own_tools import tool_rows
from safety.queries.tool_tests import item_rows, test_rule
from safety.services.own_tools import keep_own_tool


@require_safe
def own_tool_list(request: PersonRequest) -> HttpResponse:
    """The tools on the list with their tests; every kind, with what plans reckon with."""
    require(request.user, Can.SEE_TOOLS)
    firm, now = request.firm, timezone.now()
    today = local_day(now, firm)
    rule = test_rule(firm.pack, today)
    shown = {
        "items": item_rows(firm, today, now),
        "rows": tool_rows(firm),
        "rule": rule,
        "by_law": rule is not None and rule.source.basis is Basis.LAW,
    }
    return render(request, "safety/own_tool_list.html", shown)


@require_http_methods(["GET", "POST"])
def own_tool_edit(request: PersonRequest, key: str) -> HttpResponse:
    """Write down what is known of one kind."""
    require(request.user, Can.EDIT_LIBRARY)
    tool = tools().get(key)
    if tool is None:
        raise Http404("There is no such tool.")
    known = own_tools(request.firm.own_tools).get(key, OwnTool())
    form = OwnToolForm(
        request.POST or None,
        initial={
            "noise_dba": known.noise_dba,
            "vibration_ms2": known.vibration_ms2,
            "source": known.source,
            "version": request.firm.version,
        },
    )
    if form.is_valid():
        with refusals_in(form):
            keep_own_tool(
                key=key,
                tool=form.tool(),
                version=form.opened_version(),
                actor=request.user,
                at=timezone.now(),
            )
            messages.success(request, f"{tool.name}: saved. Plans reckon with it now.")
            return redirect("safety:own_tool_list")
    crumbs = [("Our tools", reverse("safety:own_tool_list")), (tool.name, "")]
    return form_page(request, form, heading=tool.name, crumbs=crumbs)
