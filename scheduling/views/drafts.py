"""Drafts of the plan: ask for one, compare it, publish or discard it."""

from datetime import datetime
from typing import Any

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone
from django.utils.html import format_html
from django.views.decorators.http import require_POST, require_safe

from jobs.domain.refusals import Refused
from jobs.domain.roles import Can
from jobs.permissions import require
from jobs.queries import local_day
from jobs.views.pages import Crumbs, PersonRequest, counted
from scheduling.models import Draft
from scheduling.permissions import get_draft
from scheduling.queries.differences import differences
from scheduling.queries.drafts import (
    how_good,
    is_overtaken,
    plan_head,
    quality_in_words,
    summary_of,
)
from scheduling.queries.other_trades import other_trades
from scheduling.queries.told import told
from scheduling.services.drafts import ask_for_draft, discard_draft, is_stale
from scheduling.services.plan import publish_draft


def _crumbs(last: str) -> Crumbs:
    return [("Plan", reverse("scheduling:plan")), (last, "")]


@require_POST
def draft_ask(request: PersonRequest) -> HttpResponse:
    """Start working out a draft."""
    require(request.user, Can.EDIT_SCHEDULE)
    why, mends = request.POST.get("why", ""), bool(request.POST.get("mends"))
    return start_draft(request, why=why, mends=mends)


def start_draft(request: PersonRequest, *, why: str, mends: bool) -> HttpResponse:
    """On to the page that shows how far the draft is; or to the plan, told why not."""
    try:
        draft = ask_for_draft(
            why=why[:160], mends=mends, actor=request.user, at=timezone.now()
        )
    except Refused as error:
        for reason in error.reasons:
            messages.error(request, reason)
        return redirect("scheduling:plan")
    return redirect("scheduling:draft_detail", draft.pk)


@require_safe
def draft_detail(request: PersonRequest, pk: int) -> HttpResponse:
    """A draft beside the published plan."""
    draft = get_draft(request.user, pk)
    return _page(request, draft, timezone.now())


def _page(
    request: PersonRequest, draft: Draft, now: datetime, reasons: tuple[str, ...] = ()
) -> HttpResponse:
    ready = draft.state == Draft.State.READY
    changes = differences(draft, request.firm, now) if ready else []
    head, today = plan_head(), local_day(now, request.firm)
    shown: dict[str, Any] = {
        "draft": draft,
        "run": draft.run,
        "stale": is_stale(draft, now),
        "overtaken": ready and is_overtaken(draft, head),
        "head": head,
        "same": [change for change in changes if change.is_same],
        "summary": summary_of(changes),
        "told": told(changes, other_trades(draft), today) if ready else draft.told,
        "quality": quality_in_words(draft),
        "how_good": how_good(draft),
        "reasons": reasons,
        "crumbs": _crumbs("Draft"),
    }
    status = 422 if reasons else 200
    return render(request, "scheduling/draft_detail.html", shown, status=status)


@require_POST
def draft_publish(request: PersonRequest, pk: int) -> HttpResponse:
    """Make the draft the plan that everybody works by."""
    draft = get_draft(request.user, pk, to=Can.EDIT_SCHEDULE)
    now = timezone.now()
    try:
        done = publish_draft(draft=draft, actor=request.user, at=now)
    except Refused as error:
        draft.refresh_from_db()
        return _page(request, draft, now, error.reasons)
    messages.success(
        request,
        format_html(
            "Published: {} new or moved, {} taken off. Calendars follow "
            'within the hour. <a href="{}#tell">See whom to tell</a>',
            counted(done.moved, "booking"),
            done.taken_off,
            reverse("scheduling:draft_detail", args=[pk]),
        ),
    )
    return redirect("scheduling:plan")


@require_POST
def draft_discard(request: PersonRequest, pk: int) -> HttpResponse:
    """Put the draft away."""
    draft = get_draft(request.user, pk, to=Can.EDIT_SCHEDULE)
    try:
        discard_draft(draft=draft, actor=request.user, at=timezone.now())
    except Refused as error:
        return _page(request, draft, timezone.now(), error.reasons)
    messages.success(request, "The draft is put away. The plan stays as it was.")
    return redirect("scheduling:plan")
