"""People and the tickets they hold."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, timedelta

from django.db.models import Prefetch, QuerySet

from jobs.domain.roles import Role
from jobs.library import ticket_kinds
from jobs.models import Person, Ticket

SOON_DAYS = 60

_FLAGS = {
    Role.OFFICE.value: "is_office",
    Role.SITE_LEAD.value: "is_site_lead",
    Role.OWNER.value: "is_owner",
    Role.CREW.value: "is_crew",
}
_ROLE_WORDS = {
    Role.OWNER: "owner",
    Role.OFFICE: "office",
    Role.SITE_LEAD: "site lead",
    Role.CREW: "crew member",
}


@dataclass(frozen=True, slots=True)
class TicketView:
    """A ticket as it stands on a day."""

    ticket: Ticket
    name: str
    state: str  # "good", "soon" or "expired"


@dataclass(frozen=True, slots=True)
class PersonView:
    """A person with the tickets in use, the ones that need care first."""

    person: Person
    roles: str
    tickets: tuple[TicketView, ...]

    @property
    def to_renew(self) -> tuple[TicketView, ...]:
        """Tickets that have run out or will soon."""
        return tuple(view for view in self.tickets if view.state != "good")


def roles_in_words(person: Person) -> str:
    """ "office, site lead", or what it means to have none."""
    words = [word for role, word in _ROLE_WORDS.items() if role in person.roles]
    return ", ".join(words) or "no part yet"


def people_on(
    day: date, people: QuerySet[Person], *, q: str = "", role: str = ""
) -> list[PersonView]:
    """People with their tickets on that day, those with a ticket to renew first.

    Two queries. ``role`` is a role, or "gone" for people who left.
    """
    people = people.filter(is_active=role != "gone")
    if role in _FLAGS:
        people = people.filter(**{_FLAGS[role]: True})
    if q:
        people = people.filter(name__icontains=q)
    in_use = Ticket.objects.filter(withdrawn_at__isnull=True).select_related("evidence")
    people = people.prefetch_related(Prefetch("tickets", in_use, to_attr="in_use"))
    views = [
        PersonView(person, roles_in_words(person), tickets_on(day, person.in_use))
        for person in people
    ]
    return sorted(views, key=_urgency)


def tickets_on(day: date, tickets: Iterable[Ticket]) -> tuple[TicketView, ...]:
    """Tickets as they stand on that day, the first to run out first. No queries."""
    kinds = ticket_kinds()
    views = [
        TicketView(
            ticket,
            kinds[ticket.kind].name if ticket.kind in kinds else ticket.kind,
            ticket_state(ticket, day),
        )
        for ticket in tickets
    ]
    return tuple(sorted(views, key=lambda view: view.ticket.expires_on or date.max))


def ticket_state(ticket: Ticket, day: date) -> str:
    """ "good", "soon" (runs out within two months) or "expired"."""
    if ticket.expires_on is None:
        return "good"
    if ticket.expires_on < day:
        return "expired"
    return "soon" if ticket.expires_on <= day + timedelta(days=SOON_DAYS) else "good"


def _urgency(view: PersonView) -> tuple[date, str]:
    dates = [item.ticket.expires_on or date.max for item in view.to_renew]
    return (min(dates, default=date.max), view.person.name.lower())
