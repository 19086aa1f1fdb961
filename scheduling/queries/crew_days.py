"""Published bookings with who is really there, day by day, as of a moment."""

from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from datetime import date, datetime

from django.db.models import Q

from jobs.models import Job, Person, Ticket
from scheduling.models import Booking, CrewSlot, Visit
from scheduling.queries.rosters import Roster, roster


@dataclass(frozen=True, slots=True)
class CrewDay:
    """A crew on one day of a booking."""

    day: date
    present: tuple[Person, ...]
    away: tuple[tuple[Person, str], ...]  # members who are not there, and why
    lead_away: str = ""  # why the job's site lead is not there


@dataclass(frozen=True, slots=True)
class CrewedVisit:
    """A booked visit, its days from a day on, and the tickets of its people."""

    visit: Visit
    booking: Booking
    days: tuple[CrewDay, ...]
    open_tasks: frozenset[int]  # ids of its tasks that were not done
    tickets: Mapping[int, tuple[Ticket, ...]] = field(repr=False)  # by person id

    def holder(self, kind: str, day: CrewDay) -> Person | None:
        """Somebody present on the day whose ticket of that kind is good."""
        for person in day.present:
            held = self.tickets.get(person.pk, ())
            if any(t.kind == kind and t.holds_on(day.day) for t in held):
                return person
        return None


def crewed_visits(jobs: Iterable[Job], day: date, at: datetime) -> list[CrewedVisit]:
    """Booked visits of these jobs with days on or after ``day``, as known at ``at``.

    Six queries. Visits whose tasks were all done by then are left out.
    """
    listed = list(jobs)
    days = _days(listed, day)
    bookings = Booking.objects.filter(pk__in=days).select_related(
        "visit__job__site_lead", "crew"
    )
    booked = list(bookings.order_by("start_on", "pk"))
    if not booked:
        return []
    people = roster(day, max(d for ds in days.values() for d, _ in ds), at)
    tasks = _open_tasks(listed, at)
    tickets = _tickets(people, at)
    return [
        CrewedVisit(
            visit=booking.visit,
            booking=booking,
            days=tuple(_crew_day(people, booking, *one) for one in days[booking.pk]),
            open_tasks=frozenset(tasks[booking.visit_id]),
            tickets=tickets,
        )
        for booking in booked
        if tasks[booking.visit_id]
    ]


def _days(jobs: list[Job], day: date) -> Mapping[int, list[tuple[date, int]]]:
    """Days and crews (ids) of each booking."""
    found: dict[int, list[tuple[date, int]]] = defaultdict(list)
    rows = (
        CrewSlot.objects.filter(booking__visit__job__in=jobs, day__gte=day)
        .values_list("booking_id", "day", "crew_id")
        .order_by("booking_id", "day")
        .distinct()
    )
    for booking_id, slot_day, crew_id in rows:
        found[booking_id].append((slot_day, crew_id))
    return found


def _crew_day(people: Roster, booking: Booking, day: date, crew_id: int) -> CrewDay:
    gone = people.crew_away(crew_id, day)
    members = people.members(crew_id, day)
    away = {p: gone or people.away(p, day) for p in members}
    lead = booking.visit.job.site_lead
    lead_away = people.away(lead, day) if lead else None
    return CrewDay(
        day=day,
        lead_away=lead_away.reason if lead_away else "",
        present=tuple(p for p in members if away[p] is None),
        away=tuple((p, a.reason) for p, a in away.items() if a is not None),
    )


def _open_tasks(jobs: list[Job], at: datetime) -> Mapping[int, set[int]]:
    found: dict[int, set[int]] = defaultdict(set)
    rows = Visit.tasks.through.objects.filter(
        Q(task__done_at__isnull=True) | Q(task__done_at__gt=at),
        task__job__in=jobs,
        visit__dropped_at__isnull=True,
    )
    for task_id, visit_id in rows.values_list("task_id", "visit_id"):
        found[visit_id].add(task_id)
    return found


def _tickets(people: Roster, at: datetime) -> Mapping[int, tuple[Ticket, ...]]:
    found: dict[int, tuple[Ticket, ...]] = defaultdict(tuple)
    rows = Ticket.objects.filter(
        Q(withdrawn_at__isnull=True) | Q(withdrawn_at__gt=at),
        recorded_at__lte=at,
        person__in=people.person_ids(),
    )
    for ticket in rows:
        found[ticket.person_id] += (ticket,)
    return found
