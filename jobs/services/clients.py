"""Clients and their sites."""

from collections.abc import Mapping
from datetime import datetime
from typing import Any

from django.db import transaction

from jobs import ledger
from jobs.domain.roles import Can
from jobs.domain.verbs import Verb
from jobs.models import Client, Person, Site
from jobs.permissions import require
from jobs.services.edits import apply_edit, changes_in_words, plain
from jobs.services.facts import record_facts


@transaction.atomic
def add_client(*, values: Mapping[str, Any], actor: Person, at: datetime) -> Client:
    """Add a client."""
    require(actor, Can.EDIT_JOBS)
    client = Client(**values)
    client.full_clean()
    client.save(force_insert=True)
    _log(Verb.CLIENT_ADDED, client, {"name": client.name}, actor, at)
    return client


@transaction.atomic
def edit_client(
    *,
    client: Client,
    version: int,
    values: Mapping[str, Any],
    actor: Person,
    at: datetime,
) -> Client:
    """Change a client's details."""
    require(actor, Can.EDIT_JOBS)
    client, changes = apply_edit(client, version=version, values=values)
    if changes:
        # Which details changed is enough: phone numbers do not belong in the ledger.
        _log(Verb.CLIENT_CHANGED, client, {"fields": sorted(changes)}, actor, at)
    return client


@transaction.atomic
def add_site(
    *, client: Client, values: Mapping[str, Any], actor: Person, at: datetime
) -> Site:
    """Add a site of a client."""
    require(actor, Can.EDIT_JOBS)
    site = Site(client=client, **values)
    site.full_clean()
    site.save(force_insert=True)
    payload = {name: plain(value) for name, value in values.items()}
    _log(Verb.SITE_ADDED, site, payload, actor, at)
    return site


@transaction.atomic
def edit_site(
    *,
    site: Site,
    version: int,
    values: Mapping[str, Any],
    actor: Person,
    at: datetime,
) -> Site:
    """Change a site's facts. Every open job there is looked at again."""
    require(actor, Can.EDIT_JOBS)
    site, changes = apply_edit(site, version=version, values=values)
    if changes:
        _log(Verb.SITE_CHANGED, site, changes, actor, at)
        cause = f"site facts changed ({changes_in_words(Site, changes)})"
        for job in site.jobs.filter(closed_at__isnull=True):
            record_facts(job=job, cause=cause, actor=actor, at=at)
    return site


def _log(
    verb: Verb,
    subject: Client | Site,
    payload: Mapping[str, Any],
    actor: Person,
    at: datetime,
) -> None:
    ledger.append(
        chain=ledger.FIRM_CHAIN,
        actor=actor,
        at=at,
        verb=verb,
        subject=subject,
        payload=payload,
    )
