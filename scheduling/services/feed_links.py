"""Hand out secret calendar links, revoke them, and note their use."""

from collections.abc import Mapping
from datetime import datetime, timedelta
from secrets import token_hex
from typing import Any

from django.core import signing
from django.core.exceptions import PermissionDenied
from django.db import transaction
from django.db.models import Q

from jobs import ledger
from jobs.models import Job, Person
from scheduling.domain.verbs import Verb
from scheduling.models import Crew, FeedLink
from scheduling.permissions import may_share
from scheduling.queries.feed_days import AllDeliveries, Subject

# The signature makes links hard to guess; the nonce is kept so that a link can be shown
# again, and its row so that it can be revoked.
_SIGNER = signing.Signer(salt="scheduling.calendar-link", sep=".")
NOTE_USE_EVERY = timedelta(minutes=5)

_KINDS = {Crew: "crew", Person: "person", Job: "job", AllDeliveries: "deliveries"}
_COLUMNS = {"crew", "person", "job"}  # kinds that name a record


@transaction.atomic
def make_link(*, subject: Subject, actor: Person, at: datetime) -> FeedLink:
    """A link to the calendar of a crew, a person, a job, deliveries, or (None) the firm.

    Only those who hand out links may, except that everybody may have their own.
    """
    if not may_share(actor, subject if isinstance(subject, Person) else None):
        raise PermissionDenied("Your roles do not allow handing out calendar links.")
    kind = _KINDS[type(subject)] if subject is not None else "firm"
    link = FeedLink.objects.create(
        kind=kind,
        nonce=token_hex(16),
        made_by=actor,
        made_at=at,
        **({kind: subject} if kind in _COLUMNS else {}),
    )
    _log(Verb.LINK_MADE, link, {"of": str(subject or "the firm")}, actor, at)
    return link


@transaction.atomic
def revoke_link(*, link: FeedLink, actor: Person, at: datetime) -> None:
    """Make a link stop working."""
    if not may_share(actor, link.person):
        raise PermissionDenied("Your roles do not allow revoking this link.")
    link = FeedLink.objects.select_for_update(of=("self",)).get(pk=link.pk)
    if link.revoked_at is None:
        link.revoked_at = at
        link.save(update_fields=["revoked_at"])
        _log(Verb.LINK_REVOKED, link, {}, actor, at)


def note_use(*, link: FeedLink, at: datetime) -> None:
    """Record that a program fetched the calendar, at most every few minutes."""
    FeedLink.objects.filter(
        Q(last_used_at__isnull=True) | Q(last_used_at__lte=at - NOTE_USE_EVERY),
        pk=link.pk,
    ).update(last_used_at=at)


def token_of(link: FeedLink) -> str:
    """The secret part of a link's address."""
    return _SIGNER.sign(link.nonce)


def nonce_in(token: str) -> str | None:
    """The nonce of a secret, None when nobody signed it."""
    try:
        return _SIGNER.unsign(token)
    except signing.BadSignature:
        return None


def _log(
    verb: Verb, link: FeedLink, payload: Mapping[str, Any], actor: Person, at: datetime
) -> None:
    ledger.append(
        chain=ledger.FIRM_CHAIN,
        actor=actor,
        at=at,
        verb=verb,
        subject=link,
        payload={"kind": link.kind, **payload},
    )
