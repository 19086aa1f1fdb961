"""Shared plant as the engine takes it, and as its page shows it."""

from collections import Counter
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date, datetime

from django.db.models import Prefetch, Q

from jobs.library import tools
from jobs.models import Task
from scheduling.domain.calendar import Half, Slot
from scheduling.domain.problem import Away, PlantNeed
from scheduling.domain.problem import Plant as PlantAsked
from scheduling.models import Plant, PlantOut, Visit


@dataclass(frozen=True, slots=True)
class FirmPlant:
    """Everything shared, and which tool each piece is."""

    plant: tuple[PlantAsked, ...]
    by_tool: Mapping[str, int]  # plant (id) by key of the tools table

    def needs(self, visit: Visit) -> tuple[PlantNeed, ...]:
        """One of each kind that the visit's tasks use; its tasks must be loaded."""
        used = sorted(tools_of(visit.tasks.all()) & self.by_tool.keys())
        return tuple(PlantNeed(self.by_tool[tool]) for tool in used)


def tools_of(tasks: Iterable[Task]) -> set[str]:
    """Keys of the tools that these tasks use."""
    return {tool["tool"] for task in tasks for tool in task.spec.get("tools", ())}


def firm_plant(first: date, last: date, at: datetime) -> FirmPlant:
    """Plant over some days, with what is out of service as recorded. Two queries."""
    out = PlantOut.objects.filter(
        Q(cancelled_at__isnull=True) | Q(cancelled_at__gt=at),
        recorded_at__lte=at,
        from_on__lte=last,
        to_on__gte=first,
    )
    rows = list(Plant.objects.prefetch_related(Prefetch("out", out, "missing")))
    return FirmPlant(
        plant=tuple(_asked(row) for row in rows),
        by_tool={row.tool: row.pk for row in rows},
    )


def _asked(row: Plant) -> PlantAsked:
    missing: list[PlantOut] = row.missing  # type: ignore[attr-defined]
    return PlantAsked(
        key=row.pk,
        name=row.name,
        count=row.count,
        out=tuple(
            Away(
                Slot(one.from_on, Half.AM),
                Slot(one.to_on, Half.PM),
                one.reason,
                one.count,
            )
            for one in missing
        ),
    )


@dataclass(frozen=True, slots=True)
class PlantRow:
    """A kind of plant on its page; ``plant.missing`` are its days out of service."""

    plant: Plant
    tool: str
    visits: int  # to come, of open jobs


def plant_rows(today: date) -> list[PlantRow]:
    """All plant with the days out of service that are not over. Four queries."""
    out = PlantOut.objects.filter(cancelled_at__isnull=True, to_on__gte=today)
    rows = list(Plant.objects.prefetch_related(Prefetch("out", out, "missing")))
    using, known = visits_using(rows), tools()
    return [
        PlantRow(
            row,
            known[row.tool].name if row.tool in known else row.tool,
            using[row.tool],
        )
        for row in rows
    ]


def tools_in_use() -> list[tuple[str, str]]:
    """Tools that tasks of open jobs use, key and name, by name. One query."""
    tasks = Task.objects.filter(job__closed_at__isnull=True, done_at__isnull=True)
    known = tools()
    used = tools_of(tasks.only("spec")) & known.keys()
    return sorted(((key, known[key].name) for key in used), key=lambda row: row[1])


def visits_using(plant: Iterable[Plant]) -> Counter[str]:
    """How many visits still to be done use each tool. Two queries."""
    listed = {row.tool for row in plant}
    visits = Visit.objects.filter(
        dropped_at__isnull=True, job__closed_at__isnull=True
    ).prefetch_related(Prefetch("tasks", Task.objects.filter(done_at__isnull=True)))
    return Counter(
        tool for visit in visits for tool in tools_of(visit.tasks.all()) & listed
    )
