"""What every page knows: the firm, its time zone, what this person may do and where."""

import re
from collections.abc import Callable
from typing import Any
from zoneinfo import ZoneInfo

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.urls import reverse
from django.utils import timezone

from jobs.domain.roles import Can
from jobs.models import Person
from jobs.queries import the_firm

_SITE_DAY = re.compile(r"/jobs/\d+/day/")
# Label, URL name, and what a person must be able to do (None: everybody who works here).
_PLACES: list[tuple[str, str, Can | None]] = [
    ("Today", "home", None),
    ("Jobs", "jobs:job_list", None),
    ("Plan", "scheduling:plan", Can.SEE_SCHEDULE),
    ("Deliveries", "scheduling:delivery_list", Can.SEE_DELIVERIES),
    ("Compliance", "safety:compliance", Can.SEE_COMPLIANCE),
    ("To chase", "jobs:approval_list", Can.EDIT_APPROVALS),
    ("Clients", "jobs:client_list", Can.EDIT_JOBS),
    ("People", "jobs:person_list", Can.EDIT_PEOPLE),
    ("Crews", "scheduling:crew_list", Can.EDIT_SCHEDULE),
    ("Firm", "jobs:firm_edit", Can.EDIT_FIRM),
    ("Ledger", "jobs:firm_ledger", Can.SEE_LEDGER),
]
# Behind a person's own name.
_OWN_PLACES: list[tuple[str, str, Can | None]] = [
    ("My tickets", "jobs:me", None),
    ("Hazard library", "safety:hazard_list", Can.EDIT_LIBRARY),
    ("Our tools", "safety:own_tool_list", Can.SEE_TOOLS),
    ("How we rate risk", "safety:risk_method", Can.EDIT_FIRM),
    ("Heat limit", "safety:heat_limit", Can.EDIT_FIRM),
    ("Change my password", "jobs:password_change", None),
]


def firm_middleware(
    get_response: Callable[[HttpRequest], HttpResponse],
) -> Callable[[HttpRequest], HttpResponse]:
    """Load the firm once a request and show times in its zone.

    Until there is a firm, every page leads to the one that sets it up.
    """

    def middleware(request: HttpRequest) -> HttpResponse:
        firm = the_firm()
        request.firm = firm  # type: ignore[attr-defined]
        if not firm.is_set_up and request.path != reverse("jobs:set_up"):
            return redirect("jobs:set_up")
        with timezone.override(ZoneInfo(firm.time_zone)):
            return get_response(request)

    return middleware


def firm(request: HttpRequest) -> dict[str, Any]:
    """The firm, for templates."""
    return {"firm": getattr(request, "firm", None)}


def _allowed(
    places: list[tuple[str, str, Can | None]], person: Person
) -> list[tuple[str, str]]:
    return [
        (label, reverse(name))
        for label, name, needs in places
        if needs is None or person.can(needs)
    ]


def navigation(request: HttpRequest) -> dict[str, Any]:
    """Where this person may go, and ``can``: what they may do, by capability name.

    A template asks ``{% if can.edit_jobs %}``.
    """
    person = getattr(request, "user", None)
    if not isinstance(person, Person):
        return {"nav": [], "can": {}}
    places = _allowed(_PLACES, person)
    return {
        "nav": [
            {"label": label, "url": url, "current": _is_here(request.path, url)}
            for label, url in places
        ],
        "person_links": _allowed(_OWN_PLACES, person),
        "can": {can.name.lower(): person.can(can) for can in Can},
    }


def _is_here(path: str, url: str) -> bool:
    if _SITE_DAY.match(path):  # under a job's address, yet it is what Today leads to
        return url == "/"
    return path == url if url == "/" else path.startswith(url)
