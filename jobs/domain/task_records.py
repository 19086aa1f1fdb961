"""A task's specification as plain JSON, for the row that keeps it."""

from collections.abc import Iterable, Mapping
from dataclasses import asdict, fields
from typing import Any

from jobs.domain.methods import (
    HoldPointSpec,
    Lifting,
    LiftSpec,
    Link,
    TaskSpec,
    ToolSpec,
)

OWN_COLUMNS = frozenset({"key", "kind", "name", "links"})


def spec_to_json(task: TaskSpec) -> dict[str, Any]:
    """All of a task but what has columns of its own (key, kind, name, links)."""
    plain = asdict(task)
    return {name: plain[name] for name in plain if name not in OWN_COLUMNS}


def spec_from_json(
    *, key: str, kind: str, name: str, links: Iterable[Link], spec: Mapping[str, Any]
) -> TaskSpec:
    """The task again. Fields that a newer version dropped are passed over."""
    known = {field.name for field in fields(TaskSpec)} - OWN_COLUMNS
    values: dict[str, Any] = {n: spec[n] for n in spec if n in known}
    values["tools"] = tuple(ToolSpec(**tool) for tool in spec.get("tools", ()))
    values["lifts"] = tuple(
        LiftSpec(lift["piece"], lift["people"], Lifting(lift["how"]))
        for lift in spec.get("lifts", ())
    )
    values["tickets"] = tuple(spec.get("tickets", ()))
    values["materials"] = tuple(spec.get("materials", ()))
    point = spec.get("hold_point")
    values["hold_point"] = HoldPointSpec(**point) if point else None
    return TaskSpec(key=key, kind=kind, name=name, links=tuple(links), **values)
