"""PINs to sign with on another's phone: chosen by oneself, or handed out once."""

import secrets
from datetime import datetime

from django.contrib.auth.hashers import check_password, make_password
from django.db import transaction

from jobs import ledger
from jobs.domain.pins import SHORTEST, pin_faults
from jobs.domain.refusals import Refused
from jobs.domain.roles import Can
from jobs.domain.verbs import Verb
from jobs.models import Person, SitePin
from jobs.permissions import require
from jobs.services.tries import count_try, forget_tries, refuse_when_too_many

_WHERE = "site"  # tries are counted by person, wherever they are made


@transaction.atomic
def set_own_pin(*, pin: str, actor: Person, at: datetime) -> SitePin:
    """Choose one's own PIN, whatever stood there before."""
    require(actor, Can.SIGN_ON)
    if faults := pin_faults(pin):
        raise Refused(faults)
    return _keep(actor, pin, once=False, verb=Verb.PIN_SET, actor=actor, at=at)


@transaction.atomic
def hand_out_pin(*, person: Person, actor: Person, at: datetime) -> str:
    """Give somebody a PIN for one use, and say it: it can be read nowhere later."""
    require(actor, Can.EDIT_PEOPLE)
    if not person.can(Can.SIGN_ON):
        raise Refused(f"{person.name} signs nothing on site, so needs no PIN.")
    pin = _random()
    _keep(person, pin, once=True, verb=Verb.PIN_HANDED_OUT, actor=actor, at=at)
    return pin


def _random() -> str:
    while True:
        pin = "".join(secrets.choice("0123456789") for _ in range(SHORTEST))
        if not pin_faults(pin):
            return pin


def use_pin(
    *, kept: SitePin, pin: str, new_pin: str, actor: Person, at: datetime
) -> None:
    """Take a PIN for somebody's word. Refused when wrong, or after too many tries.

    One that was handed out is replaced by ``new_pin`` on the way. Call inside a
    transaction.
    """
    person = kept.person
    tried = {"what": "pin", "email": str(person.pk), "address": _WHERE}
    refuse_when_too_many(**tried)
    if not check_password(pin, kept.secret):
        count_try(**tried)
        raise Refused(
            f"That is not the PIN of {person.name}. Who forgot it gets a new one from "
            "the office."
        )
    forget_tries(**tried)
    if kept.once:
        _replace(kept, pin, new_pin, actor, at)


def _replace(
    kept: SitePin, pin: str, new_pin: str, actor: Person, at: datetime
) -> None:
    faults = pin_faults(new_pin)
    if pin == new_pin:
        faults = ["Choose another PIN than the one from the office."]
    if faults:
        raise Refused([f"A PIN of your own: {fault}" for fault in faults])
    _keep(kept.person, new_pin, once=False, verb=Verb.PIN_SET, actor=actor, at=at)


def _keep(
    person: Person, pin: str, *, once: bool, verb: Verb, actor: Person, at: datetime
) -> SitePin:
    values = {
        "secret": make_password(pin),
        "once": once,
        "set_by": actor,
        "set_at": at,
    }
    row, _ = SitePin.objects.update_or_create(person=person, defaults=values)
    ledger.append(
        chain=ledger.FIRM_CHAIN,
        verb=verb,
        subject=person,
        payload={"person": person.name},
        actor=actor,
        at=at,
    )
    return row
