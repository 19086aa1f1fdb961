"""Crews, and who joins and leaves them."""

from collections.abc import Mapping
from datetime import date, datetime, timedelta
from typing import Any

from django.db import transaction
from django.db.models import Q

from jobs import ledger
from jobs.domain.refusals import Refused
from jobs.domain.roles import Can
from jobs.models import Person
from jobs.permissions import require
from jobs.services.edits import apply_edit, plain
from scheduling.domain.calendar import say_day
from scheduling.domain.verbs import Verb
from scheduling.models import Crew, CrewMember
from scheduling.services.slots import settle_people


@transaction.atomic
def add_crew(*, values: Mapping[str, Any], actor: Person, at: datetime) -> Crew:
    """Add a crew."""
    require(actor, Can.EDIT_SCHEDULE)
    crew = Crew(**values)
    crew.full_clean()
    crew.save(force_insert=True)
    _log(Verb.CREW_ADDED, crew, {"name": crew.name}, actor, at)
    return crew


@transaction.atomic
def edit_crew(
    *,
    crew: Crew,
    version: int,
    values: Mapping[str, Any],
    actor: Person,
    at: datetime,
) -> Crew:
    """Change a crew's name, lead, base, or whether it still works."""
    require(actor, Can.EDIT_SCHEDULE)
    crew, changes = apply_edit(crew, version=version, values=values)
    if changes:
        _log(Verb.CREW_CHANGED, crew, changes, actor, at)
    return crew


@transaction.atomic
def join_crew(
    *,
    crew: Crew,
    person: Person,
    from_on: date,
    to_on: date | None = None,
    actor: Person,
    at: datetime,
) -> CrewMember:
    """Put a person in a crew from a day on. A person is in one crew at a time.

    An open place in another crew is closed on the day before.
    """
    require(actor, Can.EDIT_SCHEDULE)
    if to_on is not None and to_on < from_on:
        raise Refused("The last day lies before the first. Check the two days.")
    Person.objects.select_for_update().get(pk=person.pk)
    _leave_open_place(person, crew, from_on, actor, at)
    _refuse_overlap(person, from_on, to_on)
    place = CrewMember.objects.create(
        crew=crew, person=person, from_on=from_on, to_on=to_on
    )
    payload = {"person": person.name, "from_on": plain(from_on), "to_on": plain(to_on)}
    _log(Verb.MEMBER_JOINED, crew, payload, actor, at)
    settle_people(at=at)
    return place


def _leave_open_place(
    person: Person, crew: Crew, from_on: date, actor: Person, at: datetime
) -> None:
    open_place = CrewMember.objects.filter(person=person, to_on__isnull=True).first()
    if open_place is None:
        return
    if open_place.crew_id == crew.pk:
        raise Refused(
            f"{person.name} is in {crew.name} already, since {say_day(open_place.from_on)}."
        )
    if open_place.from_on >= from_on:
        raise Refused(
            f"{person.name} joins {open_place.crew.name} on "
            f"{say_day(open_place.from_on)}. Take that place away first."
        )
    _close(open_place, from_on - timedelta(days=1), actor, at)


def _refuse_overlap(person: Person, from_on: date, to_on: date | None) -> None:
    rows = CrewMember.objects.filter(Q(to_on__isnull=True) | Q(to_on__gte=from_on))
    if to_on is not None:
        rows = rows.filter(from_on__lte=to_on)
    clash = rows.filter(person=person).select_related("crew").first()
    if clash is not None:
        until = f"until {say_day(clash.to_on)}" if clash.to_on else "with no last day"
        raise Refused(
            f"{person.name} is in {clash.crew.name} from {say_day(clash.from_on)}, "
            f"{until}. A person is in one crew at a time: choose other days."
        )


@transaction.atomic
def leave_crew(*, place: CrewMember, to_on: date, actor: Person, at: datetime) -> None:
    """End a person's place in a crew; ``to_on`` is the last day there."""
    require(actor, Can.EDIT_SCHEDULE)
    place = CrewMember.objects.select_for_update(of=("self",)).get(pk=place.pk)
    if to_on < place.from_on:
        raise Refused("The last day lies before the first. Check the two days.")
    _close(place, to_on, actor, at)
    settle_people(at=at)


def _close(place: CrewMember, to_on: date, actor: Person, at: datetime) -> None:
    place.to_on = to_on
    place.save(update_fields=["to_on"])
    payload = {"person": place.person.name, "to_on": plain(to_on)}
    _log(Verb.MEMBER_LEFT, place.crew, payload, actor, at)


def _log(
    verb: Verb, crew: Crew, payload: Mapping[str, Any], actor: Person, at: datetime
) -> None:
    ledger.append(
        chain=ledger.FIRM_CHAIN,
        actor=actor,
        at=at,
        verb=verb,
        subject=crew,
        payload=payload,
    )
