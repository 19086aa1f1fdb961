"""What visits wait for from outside: approvals, material, and work done before."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date, datetime, timedelta
from math import ceil
from zoneinfo import ZoneInfo

from jobs.domain.holds import Hold, Stops
from jobs.domain.methods import LagKind
from jobs.hold_registry import holds
from jobs.models import Approval, Firm, Job
from jobs.queries import local_day
from scheduling.domain.calendar import Half, HalfHours, Slot, WorkCalendar, say_day
from scheduling.domain.problem import Ready, ReadyKind
from scheduling.models import Delivery, Visit
from scheduling.queries.calendar import half_hours
from scheduling.queries.supply import LineSupply, line_supplies
from scheduling.queries.visits import Progress

USUAL_LEAD_DAYS = 10  # from order to delivery when no supplier is known; no source


@dataclass(slots=True)
class Release:
    """When a job may start, and whether it may only be pencilled in."""

    ready: list[Ready] = field(default_factory=list)
    tentative: bool = False


def releases(jobs: Sequence[Job], at: datetime) -> dict[int, Release]:
    """What the holds of each job leave open, by job id. The registry's and one query.

    A hold that stops a firm booking makes the job pencilled. It may start on the day
    after the hold's forecast; an approval that nobody can forecast is taken to need its
    usual days from today.
    """
    found = {job.pk: Release() for job in jobs}
    booking = [
        hold
        for open_holds in holds(jobs, at).values()
        for hold in open_holds
        if Stops.BOOKING in hold.stops
    ]
    usual, today = _usual_days(booking), local_day(at)
    for hold in booking:
        release = found[hold.job_id]
        release.tentative = True
        ready = _ready(hold, usual, today)
        if ready is not None:
            release.ready.append(ready)
    return found


def _usual_days(booking: Iterable[Hold]) -> Mapping[int, int]:
    pks = [
        hold.record[1]
        for hold in booking
        if hold.record is not None and hold.record[0] == "jobs.approval"
    ]
    rows = Approval.objects.filter(pk__in=pks)
    return dict(rows.values_list("pk", "kind__usual_days"))


def _ready(hold: Hold, usual: Mapping[int, int], today: date) -> Ready | None:
    kind = ReadyKind.APPROVAL if hold.rule.startswith("approval.") else ReadyKind.HOLD
    says = hold.says.rstrip(".")
    if hold.forecast is not None:
        why = f"{says} (likely back on {say_day(hold.forecast)})"
        return Ready(_morning_after(hold.forecast), why, kind)
    days = usual.get(hold.record[1]) if hold.record else None
    if days is None:
        return None
    likely = today + timedelta(days=days)
    why = f"{says} (it usually takes {days} days, so not before {say_day(likely)})"
    return Ready(_morning_after(likely), why, kind)


def _morning_after(day: date) -> Slot:
    return Slot(day + timedelta(days=1), Half.AM)


def materials_ready(
    jobs: Sequence[Job], at: datetime, calendar: WorkCalendar
) -> dict[int, list[tuple[Ready, frozenset[int]]]]:
    """Material still to come by job id, with the tasks (ids) that need it. Five queries.

    Material is there for the half-day after it is due. What is late, short or not
    ordered is taken to come after its supplier's usual days, counted from today.
    """
    today = local_day(at)
    found: dict[int, list[tuple[Ready, frozenset[int]]]] = {job.pk: [] for job in jobs}
    lines = [
        line
        for line in line_supplies(jobs, at)
        if line.task_ids and not line.supply.is_here
    ]
    leads = _lead_days(jobs)
    for line in lines:
        ready = _material(line, today, leads, calendar)
        found[line.line.job_id].append((ready, line.task_ids))
    return found


def _lead_days(jobs: Sequence[Job]) -> Mapping[int, int]:
    rows = Delivery.objects.filter(job__in=jobs)
    return dict(rows.values_list("pk", "supplier__usual_lead_days"))


def _material(
    line: LineSupply, today: date, leads: Mapping[int, int], calendar: WorkCalendar
) -> Ready:
    name = line.line.description
    due = line.supply.likely_here(today)
    if due is not None:
        return Ready(_next(due, calendar), f"{name} due {due}", ReadyKind.DELIVERY)
    known = [leads[load.delivery] for load in line.supply.loads]
    days = max(known, default=USUAL_LEAD_DAYS)
    likely = today + timedelta(days=days)
    standing = line.supply.standing(today)
    why = f"{name} {standing.value} (about {days} days more)"
    return Ready(_morning_after(likely), why, ReadyKind.DELIVERY)


def _next(slot: Slot, calendar: WorkCalendar) -> Slot:
    """The working half-day after a slot."""
    index = calendar.index_after(slot)
    if index < len(calendar):
        return calendar.slot(index)
    return _morning_after(slot.day)


def links_ready(
    visit: Visit, done: Mapping[int, Progress], firm: Firm, calendar: WorkCalendar
) -> list[Ready]:
    """Waits after visits that are done already; ``done`` is by ordinal."""
    found = []
    for link in visit.links:
        progress = done.get(link["after"])
        if progress is not None and progress.done_at is not None:
            since = progress.done_at.astimezone(ZoneInfo(firm.time_zone))
            kind = LagKind(link["lag_kind"])
            first = _after(since, link["lag_hours"], kind, half_hours(firm), calendar)
            found.append(
                Ready(first, link["why"] or "the visit before", ReadyKind.OTHER)
            )
    return found


def _after(
    since: datetime,
    hours: float,
    kind: LagKind,
    clock: HalfHours,
    calendar: WorkCalendar,
) -> Slot:
    if kind is LagKind.CALENDAR:
        return _first_starting(since + timedelta(hours=hours), clock)
    halves = ceil(hours * 60 / clock.minutes(Half.AM))
    index = calendar.index_from(_first_starting(since, clock)) + halves
    return calendar.slot(min(index, len(calendar) - 1))


def _first_starting(moment: datetime, clock: HalfHours) -> Slot:
    """The first half-day that begins at or after a local moment."""
    for half in Half:
        if moment.time() <= clock.start(half):
            return Slot(moment.date(), half)
    return _morning_after(moment.date())
