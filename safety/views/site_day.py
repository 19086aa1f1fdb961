"""The day on site: may we start, who is here, what is done. For a phone."""

from collections.abc import Sequence
from datetime import date, datetime
from typing import Any
from urllib.parse import quote

from django.http import Http404, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone
from django.utils.formats import date_format
from django.views.decorators.http import (
    require_safe,
)

from jobs.domain.holds import Hold
from jobs.domain.roles import Can
from jobs.hold_registry import holds
from jobs.models import Firm, Job
from jobs.permissions import get_job
from jobs.queries.firm import local_day
from jobs.queries.holds import hold_rows
from jobs.views.pages import (
    Crumbs,
    PersonRequest,
)
from safety.domain.heat_limit import rests_words
from safety.domain.obligations import CHECK_MISSING, SIGN_ON_MISSING
from safety.domain.verdict import held_tasks
from safety.holds import hold_points_ahead
from safety.models import DailyCheck
from safety.permissions import (
    leads,
)
from safety.queries.checks import checks_of
from safety.queries.days_work import days_work
from safety.queries.heat import limit_at
from safety.queries.home import led_today
from safety.queries.loads import loads_on_site
from safety.queries.site_day import (
    Before,
    done_today,
    people_today,
    step_numbers_at,
    with_hold_points,
)
from safety.queries.statements import issued_at
from safety.queries.stops import stops_on
from safety.queries.task_order import not_done_before
from safety.queries.verdicts import in_the_way, verdict_of


def day_url(job_id: int) -> str:
    """Today's page of a job."""
    return reverse("safety:site_day_detail", args=[job_id])


def day_crumbs(job: Job, last: str) -> Crumbs:
    """Where a page below the day is: one step back, on a narrow screen."""
    return [(f"Today, job {job.number}", day_url(job.pk)), (last, "")]


@require_safe
def today(request: PersonRequest) -> HttpResponse:
    """The job a lead is on today; with several, or none, a list to choose from."""
    day = local_day(timezone.now(), request.firm)
    jobs = led_today(request.user, day)
    if len(jobs) == 1:
        return redirect(day_url(jobs[0].pk))
    return redirect("home")


@require_safe
def site_day_detail(request: PersonRequest, pk: int) -> HttpResponse:
    """Today on one job."""
    job = get_job(request.user, pk)
    return _day_page(request, job, local_day(timezone.now(), request.firm))


@require_safe
def site_day(request: PersonRequest, pk: int, day: str) -> HttpResponse:
    """Another day on one job; a past one can only be read."""
    job = get_job(request.user, pk)
    try:
        wanted = date.fromisoformat(day)
    except ValueError as error:
        raise Http404("There is no such day.") from error
    return _day_page(request, job, wanted)


def _day_page(request: PersonRequest, job: Job, day: date) -> HttpResponse:
    now = timezone.now()
    is_today = day == local_day(now, request.firm)
    statement = issued_at([job], now).get(job.pk)
    runs = is_today and request.user.can(Can.RUN_SITE_DAY) and leads(request.user, job)
    done = done_today(job, day, request.firm)
    checks = checks_of(job, day)
    shown = {
        "job": job,
        "day": day,
        "is_today": is_today,
        "is_past": day < local_day(now, request.firm),
        "runs": runs and job.is_open,
        "statement": statement,
        "people": people_today(job, statement, day, now),
        "checks": checks,
        "stops": stops_on(job, day, request.firm),
        "rests": _rests(checks, request.firm),
        "done": with_hold_points(done, now, step_numbers_at(job, now)),
        "back": quote(request.path),
        "now": now,
        "crumbs": [] if is_today else day_crumbs(job, date_format(day)),
    }
    if is_today:
        shown |= _now_on_site(request, job, day, now, runs=runs)
    return render(request, "safety/site_day.html", shown)


def _rests(checks: Sequence[DailyCheck], firm: Firm) -> list[str]:
    """The rests that the heat of the check that counts asks for. At most four queries."""
    if not checks or not checks[0].heat.is_read:
        return []
    last = checks[0]
    return rests_words(last.heat, limit_at(last.device_at, firm).clothing)


def _now_on_site(
    request: PersonRequest, job: Job, day: date, now: datetime, *, runs: bool
) -> dict[str, Any]:
    work, numbers = days_work(job, day, now), step_numbers_at(job, now)
    ahead = hold_points_ahead([job], now)[job.pk]
    found = [*holds([job], now)[job.pk], *in_the_way(ahead, work)]
    stopping = [hold for hold in found if hold.stops_work()]
    left = {task.pk for task in (*work.today, *work.later)}
    held = left if stopping else held_tasks([*found, *ahead])
    points = {pk: _points_before(ahead, pk) for pk in left}
    before = Before(points, not_done_before(job, now))
    of_today = {task.pk for task in work.today}
    partly = [hold for hold in found if hold.task_ids & of_today]
    rest = [hold for hold in found if hold not in stopping and hold not in partly]
    return {
        "verdict": verdict_of(found, job, work, day, now),
        "stopping": _with_next_step(stopping, job, runs=runs),
        "partly": hold_rows(hold for hold in partly if hold not in stopping),
        "others": hold_rows(rest),
        "tasks": with_hold_points(work.today, now, numbers, held, before),
        "later": with_hold_points(work.later, now, numbers, held, before),
        "loads": loads_on_site(request.user, [job], day),
    }


def _points_before(ahead: Sequence[Hold], pk: int) -> list[str]:
    """What says of a task that hold points before it are not measured."""
    return [hold.says for hold in ahead if pk in hold.task_ids]


def _with_next_step(
    stopping: Sequence[Hold], job: Job, *, runs: bool
) -> list[dict[str, Any]]:
    """Holds with a link to what clears them, where that can be done on this page."""
    check = reverse("safety:check_add", args=[job.pk]) if runs else ""
    steps = {
        CHECK_MISSING: (check, "Do the check"),
        SIGN_ON_MISSING: ("#people", "Sign on below"),
    }
    rows = hold_rows(stopping)
    for row in rows:
        row["url"], row["link"] = steps.get(row["rule"], (row["url"], row["link"]))
    return rows
