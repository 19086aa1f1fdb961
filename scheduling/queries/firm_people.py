"""Crews and their people as the engine takes them."""

from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date, datetime

from jobs.library import ticket_kinds
from jobs.models import Person as PersonRow
from jobs.models import Ticket as TicketRow
from scheduling.domain.calendar import Half, Slot
from scheduling.domain.problem import Away, Crew, Member, Person, Ticket
from scheduling.models import Absence
from scheduling.models import Crew as CrewRow
from scheduling.queries.rosters import Roster, roster


@dataclass(frozen=True, slots=True)
class FirmPeople:
    """Everybody who can be booked."""

    people: tuple[Person, ...]
    crews: tuple[Crew, ...]
    rows: tuple[CrewRow, ...]
    roster: Roster


def firm_people(first: date, last: date, at: datetime) -> FirmPeople:
    """Crews still working and their people over some days. Four queries."""
    rows = tuple(CrewRow.objects.filter(is_active=True))
    known = roster(first, last, at, rows)
    tickets = _tickets(known.person_ids())
    people = {place.person_id: place.person for place in known.places}
    return FirmPeople(
        people=tuple(_person(row, tickets, known) for row in people.values()),
        crews=tuple(_crew(row, known) for row in rows),
        rows=rows,
        roster=known,
    )


def ticket_name(kind: str) -> str:
    """What people call a kind of ticket: the engine names tickets as it is given them."""
    known = ticket_kinds().get(kind)
    return known.name if known else kind


def _tickets(person_ids: Iterable[int]) -> Mapping[int, list[Ticket]]:
    found: dict[int, list[Ticket]] = defaultdict(list)
    rows = TicketRow.objects.filter(person__in=person_ids, withdrawn_at__isnull=True)
    for row in rows.order_by("pk"):
        ticket = Ticket(ticket_name(row.kind), row.issued_on, row.expires_on)
        found[row.person_id].append(ticket)
    return found


def _person(
    row: PersonRow, tickets: Mapping[int, list[Ticket]], known: Roster
) -> Person:
    mine = (a for a in known.absences if a.person_id == row.pk)
    return Person(row.pk, row.name, tuple(tickets.get(row.pk, ())), _away(mine))


def _crew(row: CrewRow, known: Roster) -> Crew:
    return Crew(
        key=row.pk,
        name=row.name,
        members=tuple(
            Member(place.person_id, place.from_on, place.to_on)
            for place in known.places
            if place.crew_id == row.pk
        ),
        away=_away(a for a in known.absences if a.crew_id == row.pk),
    )


def _away(absences: Iterable[Absence]) -> tuple[Away, ...]:
    return tuple(
        Away(Slot(row.from_on, Half.AM), Slot(row.to_on, Half.PM), row.reason)
        for row in absences
    )
