"""Shared plant: what there is of it, and what is out of service."""

from collections.abc import Mapping
from datetime import date, datetime
from typing import Any

from django.db import transaction

from jobs import ledger
from jobs.domain.refusals import Refused
from jobs.domain.roles import Can
from jobs.models import Person
from jobs.permissions import require
from jobs.services.edits import apply_edit, plain
from scheduling.domain.verbs import Verb
from scheduling.models import Plant, PlantOut
from scheduling.services.periods import refuse_odd_days


@transaction.atomic
def add_plant(*, values: Mapping[str, Any], actor: Person, at: datetime) -> Plant:
    """Say that the firm has few of something, so that jobs wait for it."""
    require(actor, Can.EDIT_SCHEDULE)
    plant = Plant(**values)
    plant.full_clean()
    plant.save(force_insert=True)
    payload = {"tool": plant.tool, "name": plant.name, "count": plant.count}
    _log(Verb.PLANT_ADDED, plant, payload, actor, at)
    return plant


@transaction.atomic
def edit_plant(
    *,
    plant: Plant,
    version: int,
    values: Mapping[str, Any],
    actor: Person,
    at: datetime,
) -> Plant:
    """Change what it is called and how many there are."""
    require(actor, Can.EDIT_SCHEDULE)
    plant, changes = apply_edit(plant, version=version, values=values)
    if changes:
        _log(Verb.PLANT_CHANGED, plant, changes, actor, at)
    return plant


@transaction.atomic
def take_plant_out(
    *,
    plant: Plant,
    from_on: date,
    to_on: date,
    count: int,
    reason: str,
    actor: Person,
    at: datetime,
) -> PlantOut:
    """Some of it cannot be used; both days are included."""
    require(actor, Can.EDIT_SCHEDULE)
    refuse_odd_days(from_on, to_on)
    if count > plant.count:
        raise Refused(f"The firm has only {plant.count} of it.")
    out = PlantOut.objects.create(
        plant=plant,
        from_on=from_on,
        to_on=to_on,
        count=count,
        reason=reason,
        recorded_at=at,
    )
    payload = {
        "name": plant.name,
        "count": count,
        "from_on": plain(from_on),
        "to_on": plain(to_on),
        "reason": reason,
    }
    _log(Verb.PLANT_OUT, plant, payload, actor, at)
    return out


@transaction.atomic
def put_plant_back(*, out: PlantOut, actor: Person, at: datetime) -> None:
    """It can be used on these days after all."""
    require(actor, Can.EDIT_SCHEDULE)
    out = PlantOut.objects.select_for_update(of=("self",)).get(pk=out.pk)
    if out.cancelled_at is None:
        out.cancelled_at = at
        out.save(update_fields=["cancelled_at"])
        payload = {"name": out.plant.name, "count": out.count}
        _log(Verb.PLANT_BACK, out.plant, payload, actor, at)


def _log(
    verb: Verb, plant: Plant, payload: Mapping[str, Any], actor: Person, at: datetime
) -> None:
    ledger.append(
        chain=ledger.FIRM_CHAIN,
        actor=actor,
        at=at,
        verb=verb,
        subject=plant,
        payload=payload,
    )
