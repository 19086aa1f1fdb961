"""Scheduling's panels of the job page: forecast, visits, bars, deliveries.

Places taken: forecast 45, visits 50, tasks in time 55, deliveries 60.
"""

from collections.abc import Iterator, Sequence

from django.http import HttpRequest
from django.utils import timezone

from jobs.domain.holds import Hold, Stops
from jobs.domain.roles import Can
from jobs.models import Job, Person
from jobs.panel_registry import Panel
from jobs.queries import local_day, the_firm
from scheduling.permissions import visible_deliveries
from scheduling.queries.bars import bar_chart
from scheduling.queries.cuts import JobCut, job_cuts
from scheduling.queries.deliveries import delivery_views
from scheduling.queries.forecasts import JobForecast, job_forecasts
from scheduling.queries.job_visits import VisitRow, is_cut_anew, visit_rows


def panels(request: HttpRequest, job: Job, holds: Sequence[Hold]) -> Iterator[Panel]:
    """Panels for this person."""
    person = request.user
    assert isinstance(person, Person)
    firm = the_firm()
    sees_work = person.can(Can.SEE_ALL_JOBS) or person.can(Can.RECEIVE_DELIVERIES)
    forecast = job_forecasts([job], firm, timezone.now()).get(job.pk)
    if forecast is not None and sees_work:
        yield _forecast(forecast)
    cut = job_cuts([job], firm).get(job.pk)
    yield _visits(job, cut, holds)
    if cut is not None:
        yield _bars(cut)
    if sees_work:
        yield _deliveries(job, person)


def _forecast(forecast: JobForecast) -> Panel:
    return Panel(
        key="forecast",
        title="When it is likely done",
        template="scheduling/panels/forecast.html",
        order=45,
        context={"forecast": forecast},
    )


def _visits(job: Job, cut: JobCut | None, holds: Sequence[Hold]) -> Panel:
    rows = visit_rows(job, timezone.now())
    refused = _too_soon(rows, holds)
    return Panel(
        key="visits",
        title="Visits and bookings",
        template="scheduling/panels/visits.html",
        order=50,
        context={
            "visits": rows,
            "cut_anew": is_cut_anew(rows, cut),
            "cut": cut,
            "refused": refused,
            "refused_why": f"{job.number}: {refused}",
        },
    )


def _too_soon(rows: Sequence[VisitRow], holds: Sequence[Hold]) -> str:
    """What stops a firm booking and will not be cleared before the first one begins."""
    booked = [row.view for row in rows if row.view and not row.progress.begun]
    first = min((view.booking.start_on for view in booked), default=None)
    for hold in holds:
        late = first and (hold.forecast is None or hold.forecast >= first)
        if Stops.BOOKING in hold.stops and late:
            return hold.says
    return ""


def _bars(cut: JobCut) -> Panel:
    return Panel(
        key="in-time",
        title="Tasks in time",
        template="scheduling/panels/bars.html",
        order=55,
        context={"chart": bar_chart(cut)},
    )


def _deliveries(job: Job, person: Person) -> Panel:
    rows = visible_deliveries(person).filter(job=job).order_by("due_on", "pk")
    today = local_day(timezone.now())
    return Panel(
        key="deliveries",
        title="Deliveries",
        template="scheduling/panels/deliveries.html",
        order=60,
        context={"rows": delivery_views(rows, today)},
    )
