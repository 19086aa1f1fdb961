"""Calendar links: hand them out, revoke them, and answer programs that fetch them."""

from hashlib import sha256

from django.contrib import messages
from django.contrib.auth.decorators import login_not_required
from django.http import HttpRequest, HttpResponse, HttpResponseBase
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone
from django.utils.cache import get_conditional_response
from django.views.decorators.http import (
    require_http_methods,
    require_POST,
    require_safe,
)

from jobs.models import Person
from jobs.permissions import get_job, get_person
from jobs.views.pages import PersonRequest, confirm_page
from scheduling.models import FeedLink
from scheduling.permissions import (
    feed_link_for_nonce,
    get_crew,
    get_feed_link,
    visible_feed_links,
)
from scheduling.queries.feed_days import AllDeliveries, Subject
from scheduling.queries.feed_events import subject_of
from scheduling.queries.feed_links import subjects_to_share
from scheduling.services.feed_files import feed_bytes
from scheduling.services.feed_links import (
    make_link,
    nonce_in,
    note_use,
    revoke_link,
    token_of,
)


def address_of(request: PersonRequest, link: FeedLink) -> str:
    """The whole secret address of a link, at the place the person is at."""
    path = reverse("scheduling:calendar_feed", args=[token_of(link)])
    return request.build_absolute_uri(path)


@require_safe
def link_list(request: PersonRequest) -> HttpResponse:
    """Calendar links in use, and what can still be shared."""
    links = visible_feed_links(request.user)
    rows = [
        (link, subject_of(link) or request.firm, address_of(request, link))
        for link in links
    ]
    shown = {"rows": rows, "subjects": subjects_to_share(request.user)}
    return render(request, "scheduling/link_list.html", shown)


@require_POST
def link_make(request: PersonRequest) -> HttpResponse:
    """Make a link to one calendar."""
    kind, _, pk = request.POST.get("subject", "").partition("-")
    subject = _subject(request.user, kind, int(pk) if pk.isdigit() else 0)
    make_link(subject=subject, actor=request.user, at=timezone.now())
    messages.success(request, "The link is made. Whoever has it can read the calendar.")
    return redirect("scheduling:link_list")


def _subject(person: Person, kind: str, pk: int) -> Subject:
    """The crew, person, job or deliveries named; None is the whole firm."""
    if kind == "deliveries":
        return AllDeliveries()
    if kind == "crew":
        return get_crew(person, pk)
    if kind == "person":
        return get_person(person, pk)
    if kind == "job":
        return get_job(person, pk)
    return None


@require_http_methods(["GET", "POST"])
def link_revoke(request: PersonRequest, pk: int) -> HttpResponse:
    """Make a link stop working."""
    link = get_feed_link(request.user, pk)
    if request.method == "POST":
        revoke_link(link=link, actor=request.user, at=timezone.now())
        messages.success(request, "The link does not work any more.")
        return redirect("scheduling:link_list")
    return confirm_page(
        request,
        says=f"Revoke the link to the calendar of {subject_of(link) or request.firm}? "
        "Every phone that reads it stops getting changes.",
        button="Revoke it",
        back=reverse("scheduling:link_list"),
    )


@login_not_required
@require_safe
def calendar_feed(request: HttpRequest, token: str) -> HttpResponseBase:
    """The calendar behind a secret address, for programs that do not log in."""
    link = feed_link_for_nonce(nonce_in(token))
    now = timezone.now()
    raw = feed_bytes(subject=subject_of(link), at=now)
    note_use(link=link, at=now)
    etag = f'"{sha256(raw).hexdigest()[:32]}"'
    headers = {
        "ETag": etag,
        "Cache-Control": "private, max-age=300",
        "Content-Disposition": 'inline; filename="calendar.ics"',
        "X-Robots-Tag": "noindex",
    }
    kind = "text/calendar; charset=utf-8"
    response = HttpResponse(raw, content_type=kind, headers=headers)
    answer = get_conditional_response(request, etag=etag, response=response)
    return answer if answer is not None else response
