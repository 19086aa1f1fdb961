"""Suppliers."""

from collections.abc import Mapping
from datetime import datetime
from typing import Any

from django.db import transaction

from jobs import ledger
from jobs.domain.roles import Can
from jobs.models import Person
from jobs.permissions import require
from jobs.services.edits import apply_edit
from scheduling.domain.verbs import Verb
from scheduling.models import Supplier


@transaction.atomic
def add_supplier(*, values: Mapping[str, Any], actor: Person, at: datetime) -> Supplier:
    """Add a supplier."""
    require(actor, Can.ORDER_DELIVERIES)
    supplier = Supplier(**values)
    supplier.full_clean()
    supplier.save(force_insert=True)
    _log(Verb.SUPPLIER_ADDED, supplier, {"name": supplier.name}, actor, at)
    return supplier


@transaction.atomic
def edit_supplier(
    *,
    supplier: Supplier,
    version: int,
    values: Mapping[str, Any],
    actor: Person,
    at: datetime,
) -> Supplier:
    """Change a supplier's details."""
    require(actor, Can.ORDER_DELIVERIES)
    supplier, changes = apply_edit(supplier, version=version, values=values)
    if changes:
        payload = {"fields": sorted(changes)}
        _log(Verb.SUPPLIER_CHANGED, supplier, payload, actor, at)
    return supplier


def _log(
    verb: Verb,
    supplier: Supplier,
    payload: Mapping[str, Any],
    actor: Person,
    at: datetime,
) -> None:
    ledger.append(
        chain=ledger.FIRM_CHAIN,
        actor=actor,
        at=at,
        verb=verb,
        subject=supplier,
        payload=payload,
    )
