"""People, their roles and their tickets."""

from collections.abc import Collection, Mapping
from datetime import date, datetime
from typing import Any

from django.core.exceptions import PermissionDenied
from django.core.files.uploadedfile import UploadedFile
from django.db import transaction

from jobs import ledger
from jobs.domain.refusals import Refused
from jobs.domain.roles import Can, Role
from jobs.domain.verbs import Verb
from jobs.models import Document, Person, Ticket
from jobs.permissions import require
from jobs.services.edits import apply_edit, plain
from jobs.services.uploads import take_in

_FLAGS = {
    Role.OFFICE: "is_office",
    Role.SITE_LEAD: "is_site_lead",
    Role.OWNER: "is_owner",
    Role.CREW: "is_crew",
}


def _log(
    verb: Verb, subject: Person | Ticket, payload: Mapping[str, Any], **who: Any
) -> None:
    ledger.append(
        chain=ledger.FIRM_CHAIN, verb=verb, subject=subject, payload=payload, **who
    )


@transaction.atomic
def add_person(
    *,
    name: str,
    email: str | None,
    phone: str = "",
    roles: Collection[Role] = (),
    joined_on: date | None = None,
    password: str | None = None,
    actor: Person,
    at: datetime,
) -> Person:
    """Add someone. Only an owner may hand out roles beyond crew member and site lead.

    Without a password they cannot log in until they ask for a new one by email.
    """
    require(actor, Can.EDIT_PEOPLE)
    _may_grant(actor, set(roles))
    if email and Person.objects.filter(email__iexact=email).exists():
        raise Refused(f"Somebody already logs in with {email}. Use another email.")
    person = Person.objects.create_user(
        email,
        password,
        name=name,
        phone=phone,
        joined_on=joined_on,
        is_staff=Role.OFFICE in roles,
        **{_FLAGS[role]: True for role in roles},
    )
    payload = {"name": name, "roles": sorted(roles)}
    _log(Verb.PERSON_ADDED, person, payload, actor=actor, at=at)
    return person


def _may_grant(actor: Person, roles: set[Role]) -> None:
    if roles & {Role.OFFICE, Role.OWNER} and not actor.can(Can.EDIT_ROLES):
        raise PermissionDenied("Only an owner may make someone office or owner.")


@transaction.atomic
def edit_person(
    *,
    person: Person,
    version: int,
    values: Mapping[str, Any],
    actor: Person,
    at: datetime,
) -> Person:
    """Change someone's name, email, phone, start, or whether they work here."""
    require(actor, Can.EDIT_PEOPLE)
    values = dict(values)
    if "email" in values:
        values["email"] = values["email"].lower() if values["email"] else None
    if person.is_owner and values.get("is_active") is False:
        _keep_an_owner(person)
    person, changes = apply_edit(person, version=version, values=values)
    if changes:
        _log(Verb.PERSON_CHANGED, person, changes, actor=actor, at=at)
    return person


@transaction.atomic
def set_roles(
    *,
    person: Person,
    version: int,
    roles: Collection[Role],
    actor: Person,
    at: datetime,
) -> Person:
    """Give someone exactly these roles. There is always an owner."""
    require(actor, Can.EDIT_ROLES)
    if Role.OWNER not in roles:
        _keep_an_owner(person)
    values = {flag: role in roles for role, flag in _FLAGS.items()}
    values["is_staff"] = Role.OFFICE in roles
    before = sorted(person.roles)
    person, changes = apply_edit(person, version=version, values=values)
    if changes:
        payload = {"before": before, "after": sorted(roles)}
        _log(Verb.ROLES_CHANGED, person, payload, actor=actor, at=at)
    return person


def _keep_an_owner(person: Person) -> None:
    others = Person.objects.filter(is_owner=True, is_active=True).exclude(pk=person.pk)
    if person.is_owner and not others.exists():
        raise Refused("The firm needs an owner. Make someone else owner first.")


@transaction.atomic
def add_ticket(
    *,
    person: Person,
    kind: str,
    number: str = "",
    issued_on: date | None = None,
    expires_on: date | None = None,
    evidence: Document | None = None,
    actor: Person,
    at: datetime,
) -> Ticket:
    """Record a licence or competency."""
    require(actor, Can.EDIT_PEOPLE)
    ticket = Ticket(
        person=person,
        kind=kind,
        number=number,
        issued_on=issued_on,
        expires_on=expires_on,
        evidence=evidence,
        recorded_at=at,
    )
    ticket.full_clean()
    ticket.save(force_insert=True)
    payload = {
        "person": person.name,
        "kind": kind,
        "number": number,
        "expires_on": plain(expires_on),
        "evidence": evidence.sha256 if evidence else None,
    }
    _log(Verb.TICKET_ADDED, ticket, payload, actor=actor, at=at)
    return ticket


@transaction.atomic
def record_ticket(
    *,
    person: Person,
    kind: str,
    number: str,
    issued_on: date | None,
    expires_on: date | None,
    upload: "UploadedFile[Any] | None",
    actor: Person,
    at: datetime,
) -> Ticket:
    """Record a ticket and keep the picture of it. Both or neither."""
    require(actor, Can.EDIT_PEOPLE)
    evidence = None
    if upload is not None:
        title = f"Ticket of {person.name}: {kind.replace('_', ' ')}"
        evidence = take_in(upload=upload, title=title, job=None, actor=actor, at=at)
    return add_ticket(
        person=person,
        kind=kind,
        number=number,
        issued_on=issued_on,
        expires_on=expires_on,
        evidence=evidence,
        actor=actor,
        at=at,
    )


@transaction.atomic
def withdraw_ticket(*, ticket: Ticket, actor: Person, at: datetime) -> None:
    """Take a ticket out of use, keeping its record."""
    require(actor, Can.EDIT_PEOPLE)
    ticket = Ticket.objects.select_for_update().get(pk=ticket.pk)
    if ticket.withdrawn_at is None:
        ticket.withdrawn_at = at
        ticket.save(update_fields=["withdrawn_at"])
        payload = {"kind": ticket.kind, "number": ticket.number}
        _log(Verb.TICKET_WITHDRAWN, ticket, payload, actor=actor, at=at)
