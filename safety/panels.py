"""Safety's panels of the job page: the statement, the days on site, hold points."""

from collections.abc import Iterator, Sequence
from datetime import datetime

from django.http import HttpRequest
from django.utils import timezone

from jobs.domain.holds import Hold
from jobs.domain.roles import Can
from jobs.models import Firm, Job, Person
from jobs.panel_registry import Panel
from safety.domain.obligations import STATEMENT_STALE
from safety.models import Statement
from safety.queries.hold_points import hold_points_of
from safety.queries.site_days import site_days
from safety.queries.statements import sign_ons_of, versions
from safety.queries.stops import stops_of

DAYS_SHOWN = 10


def panels(request: HttpRequest, job: Job, holds: Sequence[Hold]) -> Iterator[Panel]:
    """Panels for this person."""
    person, firm, now = request.user, request.firm, timezone.now()  # type: ignore[attr-defined]
    assert isinstance(person, Person)
    yield _statement(job, person, holds)
    points = hold_points_of(job, now)
    if points:
        yield Panel(
            key="hold-points",
            title="Hold points",
            template="safety/panels/hold_points.html",
            order=32,
            context={"points": points},
        )
    stops = stops_of(job)
    if stops:
        yield Panel(
            key="stops",
            title="Stopped work",
            template="safety/panels/stops.html",
            order=58,
            context={"stops": stops},
        )
    yield _days(job, person, firm, now)


def _statement(job: Job, person: Person, holds: Sequence[Hold]) -> Panel:
    rows = versions(job)
    if not person.can(Can.SEE_ALL_JOBS):
        rows = [row for row in rows if row.issued_at is not None]
    issued = next((r for r in rows if r.state == Statement.State.ISSUED), None)
    signed = sign_ons_of(issued) if issued else []
    mine = any(row.person_id == person.pk for row in signed)
    return Panel(
        key="statement",
        title="Hazard plan and statement",
        template="safety/panels/statement.html",
        order=45,
        context={
            "versions": rows,
            "issued": issued,
            "signed": signed,
            "must_sign": issued is not None and person.can(Can.SIGN_ON) and not mine,
            "stale": next((h for h in holds if h.rule == STATEMENT_STALE), None),
        },
    )


def _days(job: Job, person: Person, firm: Firm, now: datetime) -> Panel:
    return Panel(
        key="on-site",
        title="Days on site",
        template="safety/panels/days.html",
        order=60,
        context={
            "days": site_days(job, now, firm)[:DAYS_SHOWN],
            "runs_days": person.can(Can.RUN_SITE_DAY),
        },
    )
