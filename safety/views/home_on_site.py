"""The first page of those who work on site: may we start, what to sign, what comes."""

from collections import defaultdict
from datetime import date, datetime
from typing import Any

from jobs.domain.holds import Hold
from jobs.domain.roles import Role
from jobs.hold_registry import holds
from jobs.models import Job, Person
from jobs.queries.holds import hold_rows
from jobs.queries.people import tickets_on
from safety.holds import hold_points_ahead
from safety.queries.home import led_today, my_days, to_sign
from safety.queries.loads import loads_on_site
from safety.queries.my_jobs import led_by
from safety.queries.verdicts import verdicts
from scheduling.queries.bookings import is_pencilled

WAITING_SHOWN = 6


def on_site(person: Person, today: date, now: datetime) -> dict[str, Any]:
    """What the sections for site leads and crew members show."""
    leads = Role.SITE_LEAD in person.roles
    led = led_today(person, today) if leads else []
    mine = led_by(person) if leads else []
    days = my_days(person, today, now)
    known = {job.pk for job in led}
    with_others = {
        day.job.pk: day.job
        for day in days
        if day.day == today and day.job.pk not in known
    }
    here = [*led, *with_others.values()]
    jobs = {job.pk: job for job in (*here, *mine)}
    booked = {day.job.pk: day.job for day in days}
    found = holds(list({**booked, **jobs}.values()), now)
    stopping = _stopping([hold for job in led for hold in found[job.pk]])
    answers = verdicts(found, hold_points_ahead(here, now), here, today, now)
    elsewhere = [hold for pk in jobs if pk not in known for hold in found[pk]]
    waiting = [hold for hold in elsewhere if _for_a_lead(hold, mine)]
    return {
        "led": [(job, answers[job.pk], stopping[job.pk]) for job in led],
        "with_others": [(job, answers[pk]) for pk, job in with_others.items()],
        "waiting": hold_rows(waiting[:WAITING_SHOWN], jobs),
        "waiting_more": len(waiting[WAITING_SHOWN:]),
        "my_loads": loads_on_site(person, mine, today) if leads else [],
        "days": days,
        "pencilled": {pk for pk in booked if is_pencilled(found[pk])},
        "to_sign": to_sign(person, days, led),
        "to_renew": _to_renew(person, today),
    }


def _stopping(found: list[Hold]) -> dict[int, list[dict[str, Any]]]:
    """What stops all work, as a page shows it, by job id. One query."""
    rows: dict[int, list[dict[str, Any]]] = defaultdict(list)
    for row in hold_rows(hold for hold in found if hold.stops_work()):
        rows[row["job_id"]].append(row)
    return rows


def _for_a_lead(hold: Hold, mine: list[Job]) -> bool:
    """Whether a lead can clear it; loads have a list of their own."""
    own = any(job.pk == hold.job_id for job in mine)
    return own and Role.SITE_LEAD in hold.cleared_by and "delivery" not in hold.rule


def _to_renew(person: Person, today: date) -> list[Any]:
    tickets = person.tickets.filter(withdrawn_at__isnull=True)
    return [view for view in tickets_on(today, tickets) if view.state != "good"]
