"""The plan of crews by half-days."""

from datetime import date, timedelta

from django.http import HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_safe

from jobs.domain.roles import Can
from jobs.permissions import require
from jobs.queries import local_day
from jobs.views.pages import PersonRequest
from scheduling.forms.bookings import PeriodForm
from scheduling.models import Draft
from scheduling.queries.drafts import (
    current_draft,
    is_overtaken,
    plan_head,
    suggestion_of,
)
from scheduling.queries.plan_grid import plan_grid
from scheduling.queries.unfit import unfit_bookings

USUAL_WEEKS = 2


@require_safe
def plan(request: PersonRequest) -> HttpResponse:
    """Crews by half-days over some weeks, with the draft beside it when there is one."""
    require(request.user, Can.SEE_SCHEDULE)
    now = timezone.now()
    typed = PeriodForm(request.GET or None)
    asked = typed.cleaned_data if typed.is_valid() else {}
    weeks = asked.get("weeks") or USUAL_WEEKS
    first = _monday(asked.get("start") or local_day(now, request.firm))
    draft, head = current_draft(), plan_head()
    ready = draft is not None and draft.state == Draft.State.READY
    shows_draft = ready and "hide_draft" not in request.GET
    span = timedelta(weeks=weeks)
    shown = {
        "form": PeriodForm(initial={"start": first, "weeks": weeks}),
        "grid": plan_grid(
            request.firm, first, weeks, now, draft if shows_draft else None
        ),
        "first": first,
        "last": first + span - timedelta(days=1),
        "weeks": weeks,
        "earlier": first - span,
        "later": first + span,
        "draft": draft,
        "overtaken": draft is not None and is_overtaken(draft, head),
        "head": head,
        "shows_draft": shows_draft,
        "suggestion": suggestion_of(draft, head, request.firm, now),
    }
    return render(request, "scheduling/plan.html", shown)


@require_safe
def plan_unfit(request: PersonRequest) -> HttpResponse:
    """Bookings that no longer fit; on the plan it comes after the grid is there."""
    require(request.user, Can.SEE_SCHEDULE)
    shown = {
        "unfit": unfit_bookings(request.firm, timezone.now()),
        "crumbs": [("Plan", reverse("scheduling:plan")), ("What no longer fits", "")],
    }
    part = "_unfit" if request.htmx else "plan_unfit"
    return render(request, f"scheduling/{part}.html", shown)


def _monday(day: date) -> date:
    return day - timedelta(days=day.weekday())
