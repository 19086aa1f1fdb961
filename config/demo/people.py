"""The demo firm, its people, tickets, crews and suppliers."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Any

from config.demo.days import WorkingDays
from jobs.domain.roles import Role
from jobs.models import Firm, Person
from jobs.services.firm import set_up_firm
from jobs.services.people import add_person, add_ticket
from scheduling.models import Crew, Supplier
from scheduling.services.absences import add_closure, record_absence
from scheduling.services.crews import add_crew, join_crew
from scheduling.services.plant import add_plant
from scheduling.services.suppliers import add_supplier


@dataclass(frozen=True, slots=True)
class Firmament:
    """Everybody and everything the stories speak of, by key."""

    people: Mapping[str, Person]
    crews: Mapping[str, Crew]
    suppliers: Mapping[str, Supplier]
    office: Person
    owner: Person


def make_firm(told: Mapping[str, Any], days: WorkingDays) -> Firmament:
    """Set the firm up as it was when its oldest story begins."""
    began = days.at(-110, "08:00")
    people = _people(told, began)
    owner = next(person for person in people.values() if person.is_owner)
    office = next(person for person in people.values() if person.is_office)
    _tickets(told, people, office, began, days)
    crews = {row["name"]: _crew(row, people, office, began) for row in told["crews"]}
    suppliers = {}
    for row in told["suppliers"]:
        values = {name: row[name] for name in row if name != "key"}
        suppliers[row["key"]] = add_supplier(values=values, actor=office, at=began)
    for row in told["plant"]:
        add_plant(values=row, actor=office, at=days.at(-12, "16:00"))
    _away(told, people, office, days)
    return Firmament(people, crews, suppliers, office, owner)


def _people(told: Mapping[str, Any], at: datetime) -> dict[str, Person]:
    first, *others = told["people"]
    owner = set_up_firm(
        firm=told["firm"],
        owner_name=first["name"],
        owner_email=first["email"],
        owner_password=told["password"],
        at=at,
    )
    Firm.objects.filter(pk=1).update(is_demo=True)
    # Set-up makes the owner the office too; in this firm somebody else is.
    Person.objects.filter(pk=owner.pk).update(
        is_office=False, is_crew="crew" in first["roles"]
    )
    owner.refresh_from_db()
    people = {first["key"]: owner}
    for row in others:
        people[row["key"]] = add_person(
            name=row["name"],
            email=row.get("email"),
            roles=[Role(role) for role in row["roles"]],
            joined_on=at.date(),
            password=told["password"] if row.get("email") else None,
            actor=owner,
            at=at,
        )
    return people


def _tickets(
    told: Mapping[str, Any],
    people: Mapping[str, Person],
    office: Person,
    at: datetime,
    days: WorkingDays,
) -> None:
    today = days.now.astimezone(days.zone).date()
    wanted = [
        (key, kind, 600)
        for key, person in people.items()
        if person.is_crew
        for kind in told["crew_tickets"]
    ] + [(row["person"], row["kind"], row["expires"]) for row in told["tickets"]]
    for number, (key, kind, expires) in enumerate(wanted, start=4001):
        add_ticket(
            person=people[key],
            kind=kind,
            number=f"DEMO-{number}",
            issued_on=at.date() - timedelta(days=200),
            expires_on=today + timedelta(days=expires),
            actor=office,
            at=at,
        )


def _crew(
    row: Mapping[str, Any],
    people: Mapping[str, Person],
    office: Person,
    at: datetime,
) -> Crew:
    values = {"name": row["name"], "lead": people[row["lead"]]}
    crew = add_crew(values=values, actor=office, at=at)
    for key in row["members"]:
        join_crew(crew=crew, person=people[key], from_on=at.date(), actor=office, at=at)
    return crew


def _away(
    told: Mapping[str, Any],
    people: Mapping[str, Person],
    office: Person,
    days: WorkingDays,
) -> None:
    at = days.at(-12, "16:00")
    for row in told["absences"]:
        record_absence(
            person=people[row["person"]],
            from_on=days.day(row["from"]),
            to_on=days.day(row["to"]),
            reason=row["reason"],
            actor=office,
            at=at,
        )
    for row in told["closures"]:
        add_closure(
            from_on=days.day(row["from"]),
            to_on=days.day(row["to"]),
            reason=row["reason"],
            actor=office,
            at=at,
        )
