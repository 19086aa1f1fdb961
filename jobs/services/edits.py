"""Change a record that was edited in a form, or say that it changed meanwhile."""

from collections.abc import Mapping
from datetime import date, datetime, time
from decimal import Decimal
from typing import Any, TypeVar
from uuid import UUID

from django.db import models

from jobs.domain.refusals import Stale

Row = TypeVar("Row", bound=models.Model)


def apply_edit(
    row: Row, *, version: int, values: Mapping[str, Any]
) -> tuple[Row, dict[str, list[Any]]]:
    """Lock the row, set ``values``, and say what changed as {field: [old, new]}.

    Raises :class:`Stale` when the row is past ``version``. Saves nothing and keeps the
    version when nothing changed. Call inside a transaction.
    """
    manager = type(row)._default_manager
    locked = manager.select_for_update(of=("self",)).get(pk=row.pk)
    if locked.version != version:  # type: ignore[attr-defined]
        raise Stale
    changes = {
        name: [plain(getattr(locked, name)), plain(value)]
        for name, value in values.items()
        if getattr(locked, name) != value
    }
    if changes:
        for name in changes:
            setattr(locked, name, values[name])
        locked.version += 1  # type: ignore[attr-defined]
        locked.full_clean()
        locked.save(update_fields=[*changes, "version"])
    return locked, changes


def plain(value: Any) -> Any:
    """A column's value as plain JSON data for the ledger."""
    if isinstance(value, models.Model):
        return value.pk
    if isinstance(value, date | datetime | time):
        return value.isoformat()
    if isinstance(value, Decimal):
        return float(value)
    if isinstance(value, UUID):
        return str(value)
    return value


def changes_in_words(
    model: type[models.Model], changes: Mapping[str, list[Any]], most: int = 2
) -> str:
    """What changed, for people: "projection from 4 to 3.6 m and 3 more".

    A unit stands behind the comma of a column's name.
    """
    said = [_change(model, name, *change) for name, change in changes.items()]
    if len(said) > most:
        said = [*said[:most], f"{len(said) - most} more"]
    return f"{', '.join(said[:-1])} and {said[-1]}" if said[1:] else "".join(said)


def _change(model: type[models.Model], name: str, old: Any, new: Any) -> str:
    label = str(model._meta.get_field(name).verbose_name)  # type: ignore[union-attr]
    noun, _, unit = label.rpartition(", ") if ", " in label else (label, "", "")
    if not all(type(value) in {int, float} for value in (old, new)):
        return noun
    return f"{noun} from {old:g} to {new:g} {unit}".strip()
