"""Set the firm up on first run, and change its settings."""

from collections.abc import Mapping
from datetime import datetime
from typing import Any

from django.contrib.auth.password_validation import validate_password
from django.core.exceptions import ValidationError
from django.db import transaction

from jobs import ledger
from jobs.domain.refusals import Refused
from jobs.domain.roles import Can
from jobs.domain.verbs import Verb
from jobs.models import Firm, Person
from jobs.permissions import require
from jobs.services.edits import apply_edit


@transaction.atomic
def set_up_firm(
    *,
    firm: Mapping[str, Any],
    owner_name: str,
    owner_email: str,
    owner_password: str,
    at: datetime,
) -> Person:
    """Make the firm and its owner's account. Refused once there is a firm."""
    if Firm.objects.select_for_update().filter(pk=1).exists():
        raise Refused("The firm is set up already. Log in instead.")
    made = Firm(pk=1, **firm)
    made.full_clean()
    made.save(force_insert=True)
    try:
        validate_password(owner_password)
    except ValidationError as error:
        raise Refused(error.messages) from error
    owner = Person.objects.create_user(
        owner_email,
        owner_password,
        name=owner_name,
        is_owner=True,
        is_office=True,
        is_staff=True,
        is_superuser=True,
    )
    ledger.append(
        chain=ledger.FIRM_CHAIN,
        actor=owner,
        at=at,
        verb=Verb.FIRM_SET_UP,
        subject=made,
        payload={"name": made.name, "pack": made.pack, "owner": owner.name},
    )
    return owner


@transaction.atomic
def edit_firm(
    *, version: int, values: Mapping[str, Any], actor: Person, at: datetime
) -> Firm:
    """Change the firm's settings."""
    require(actor, Can.EDIT_FIRM)
    firm, changes = apply_edit(Firm.objects.get(pk=1), version=version, values=values)
    if changes:
        ledger.append(
            chain=ledger.FIRM_CHAIN,
            actor=actor,
            at=at,
            verb=Verb.FIRM_CHANGED,
            subject=firm,
            payload=changes,
        )
    return firm
