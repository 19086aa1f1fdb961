"""The first page: what each person must know before anything else."""

from datetime import date, datetime, timedelta
from itertools import islice
from typing import Any

from django.http import HttpResponse
from django.shortcuts import render
from django.utils import timezone
from django.views.decorators.http import require_safe

from jobs.domain.roles import Role
from jobs.hold_registry import holds
from jobs.permissions import visible_jobs
from jobs.queries.approvals import approvals_to_chase
from jobs.queries.firm import local_day
from jobs.queries.holds import hold_rows
from jobs.views.pages import PersonRequest
from safety.queries.breaches import breaches_between
from safety.queries.home import (
    SHOWN,
    HeldJob,
    held_jobs,
    loads_due,
    next_days,
    shares,
    stopped,
)
from safety.views.home_on_site import on_site
from scheduling.queries.drafts import waiting_suggestion

CHASED = 10
LOOK_BACK = timedelta(days=90)
LATEST_BREACHES = 8


@require_safe
def home(request: PersonRequest) -> HttpResponse:
    """Sections for the parts a person plays, the most pressing first."""
    now = timezone.now()
    today, roles = local_day(now, request.firm), request.user.roles
    shown: dict[str, Any] = {"today": today, "now": now, "roles": sorted(roles)}
    if roles & {Role.SITE_LEAD, Role.CREW}:
        shown |= on_site(request.user, today, now)
    if roles & {Role.OFFICE, Role.OWNER}:
        shown |= _whole_firm(request, today, now)
    return render(request, "safety/home.html", shown)


def _whole_firm(request: PersonRequest, today: date, now: datetime) -> dict[str, Any]:
    jobs = list(visible_jobs(request.user).open())
    found = holds(jobs, now)
    shown: dict[str, Any] = {
        "open_jobs": len(jobs),
        "held_jobs": sum(1 for open_holds in found.values() if open_holds),
        "stopped": stopped(found),
    }
    if Role.OFFICE in request.user.roles:
        held = held_jobs(found, jobs, next_days(jobs, today))
        chase = approvals_to_chase(today, jobs)
        shown |= {
            "suggestion": waiting_suggestion(request.firm, now),
            "shares": shares(found),
            "held": _with_rows(held[:SHOWN]),
            "more_held": len(held[SHOWN:]),
            "chase": chase[:CHASED],
            "more_to_chase": len(chase[CHASED:]),
            "loads": loads_due(jobs, today),
        }
    if Role.OWNER in request.user.roles:
        looked = breaches_between(None, today - LOOK_BACK, today, request.firm)
        latest = looked.breaches[:LATEST_BREACHES]
        month = [row for row in looked.breaches if row.day >= today.replace(day=1)]
        known = visible_jobs(request.user).in_bulk({row.job_id for row in latest})
        shown |= {
            "breaches": [
                (row, row.says_on(today), known.get(row.job_id)) for row in latest
            ],
            "look_back_from": today - LOOK_BACK,
            "breach_count": len(looked.breaches),
            "breaches_this_month": len(month),
            "unjudged": looked.unjudged,
        }
    return shown


def _with_rows(held: list[HeldJob]) -> list[tuple[HeldJob, list[dict[str, Any]]]]:
    """Each job with its holds as a page shows them. One query for all of them."""
    rows = iter(hold_rows(hold for one in held for hold in one.holds))
    return [(one, list(islice(rows, len(one.holds)))) for one in held]
