"""The bill of materials."""

from collections.abc import Mapping, Sequence
from datetime import datetime
from typing import Any

from django.db import transaction
from django.db.models import Max, ProtectedError

from jobs import ledger
from jobs.domain.refusals import Refused
from jobs.domain.roles import Can
from jobs.domain.verbs import Verb
from jobs.models import BomLine, Job, Person
from jobs.permissions import require
from jobs.queries.facts import current_take_off
from jobs.services.edits import apply_edit


@transaction.atomic
def add_lines(
    *, job: Job, lines: Sequence[Mapping[str, Any]], actor: Person, at: datetime
) -> list[BomLine]:
    """Add lines at the end. All or none."""
    require(actor, Can.EDIT_MATERIALS)
    last = job.bom_lines.aggregate(last=Max("position"))["last"] or 0
    rows = []
    for position, values in enumerate(lines, start=last + 1):
        row = BomLine(job=job, position=position, **values)
        row.full_clean()
        rows.append(row)
    rows = BomLine.objects.bulk_create(rows)
    _log(job, {"added": [_line(row) for row in rows]}, actor, at)
    return rows


@transaction.atomic
def edit_line(
    *,
    line: BomLine,
    version: int,
    values: Mapping[str, Any],
    actor: Person,
    at: datetime,
) -> BomLine:
    """Change one line."""
    require(actor, Can.EDIT_MATERIALS)
    line, changes = apply_edit(line, version=version, values=values)
    if changes:
        _log(line.job, {"line": line.pk, **changes}, actor, at)
    return line


@transaction.atomic
def remove_line(*, line: BomLine, actor: Person, at: datetime) -> None:
    """Take a line out, unless it is on a delivery."""
    require(actor, Can.EDIT_MATERIALS)
    job, was = line.job, _line(line)
    try:
        line.delete()
    except ProtectedError as error:
        raise Refused(
            f"“{line.description}” is on a delivery. Take it off the delivery first."
        ) from error
    _log(job, {"removed": [was]}, actor, at)


@transaction.atomic
def fill_from_take_off(*, job: Job, actor: Person, at: datetime) -> list[BomLine]:
    """Add a line for every piece of the take-off that the list does not have yet."""
    take_off = current_take_off(job)
    if take_off is None:
        raise Refused("Set the dimensions first; the list is worked out from them.")
    have = set(job.bom_lines.values_list("part", "length_m"))
    lines = [
        {
            "part": piece.key,
            "description": piece.name,
            "quantity": piece.count,
            "length_m": round(piece.length_m, 3) or None,
        }
        for piece in take_off.pieces
        if (piece.key, round(piece.length_m, 3) or None) not in have
    ]
    return add_lines(job=job, lines=lines, actor=actor, at=at) if lines else []


def _line(row: BomLine) -> dict[str, Any]:
    return {
        "part": row.part,
        "description": row.description,
        "quantity": row.quantity,
        "unit": row.unit,
        "length_m": row.length_m,
    }


def _log(job: Job, payload: Mapping[str, Any], actor: Person, at: datetime) -> None:
    ledger.append(
        chain=job,
        actor=actor,
        at=at,
        verb=Verb.MATERIALS_CHANGED,
        subject=job,
        payload=payload,
    )
