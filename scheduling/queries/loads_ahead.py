"""Loads that jobs still wait for, and how such loads have come so far."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta

from django.db.models import Min, Q

from jobs.models import Firm, Job
from jobs.queries.firm import local_day
from scheduling.domain.delivery_times import (
    Coming,
    DeliveryTimes,
    PastLoad,
    delivery_times,
    late_waits,
)
from scheduling.domain.supply import Supply
from scheduling.models import Delivery
from scheduling.queries.readiness import USUAL_LEAD_DAYS
from scheduling.queries.slots import as_slot
from scheduling.queries.supply import line_supplies

LOOKED_BACK = timedelta(days=3 * 365)  # suppliers change; older loads say little

_Key = tuple[str, int | None]  # a delivery, or an order still to be placed


@dataclass(frozen=True, slots=True)
class JobLoads:
    """What a job waits for: each load, and the tasks (ids) that need it."""

    coming: tuple[Coming, ...] = ()
    tasks: tuple[frozenset[int], ...] = ()

    def for_tasks(self, tasks: set[int]) -> tuple[int, ...]:
        """Places of the loads that any of these tasks needs."""
        return tuple(at for at, needed in enumerate(self.tasks) if needed & tasks)


@dataclass(frozen=True, slots=True)
class LoadsAhead:
    """By job id what it waits for; the firm's loads it rests on, come and still out."""

    by_job: Mapping[int, JobLoads]
    came: int
    out: int


def loads_ahead(jobs: Sequence[Job], firm: Firm, at: datetime) -> LoadsAhead:
    """Loads that jobs wait for at ``at``. Five queries.

    What nobody ordered, or what came short, is taken as ordered today.
    """
    today = local_day(at, firm)
    history = _history(jobs, firm, at)
    found: dict[int, dict[_Key, set[int]]] = {job.pk: {} for job in jobs}
    for line in line_supplies(jobs, at):
        if line.task_ids and not line.supply.is_here:
            wanted = found[line.line.job_id]
            for key in _awaited(line.supply, history):
                wanted.setdefault(key, set()).update(line.task_ids)
    waits = late_waits(history.loads.values(), today)
    came = sum(wait.over for wait in waits)
    return LoadsAhead(
        by_job={
            pk: JobLoads(
                tuple(history.coming(key) for key in wanted),
                tuple(map(frozenset, wanted.values())),
            )
            for pk, wanted in found.items()
        },
        came=came,
        out=len(waits) - came,
    )


def _awaited(supply: Supply, history: "_History") -> Iterator[_Key]:
    loads, enough = supply.awaited()
    for load in loads:
        yield "load", load.delivery
    if not enough:
        suppliers = {history.loads[load.delivery].supplier for load in supply.loads}
        yield "order", max(suppliers, key=lambda pk: history.usual[pk], default=None)


class _History:
    """Loads of the firm, by delivery id, as known on a day."""

    def __init__(self, today: date) -> None:
        self.today = today
        self.loads: dict[int, PastLoad] = {}
        self.halves: dict[int, str] = {}
        self.usual: dict[int, int] = {}  # days, by supplier
        self._times: dict[int | None, DeliveryTimes] = {}

    def coming(self, key: _Key) -> Coming:
        """What is believed of a load on its way, or of an order placed today."""
        kind, pk = key
        if kind == "order" or pk is None:
            return Coming(self._about(pk).lead)
        load = self.loads[pk]
        times = self._about(load.supplier)
        if load.due_on is not None:
            return Coming(times.late, as_slot(load.due_on, self.halves[pk]))
        waited = max((self.today - load.ordered_on).days, 0)
        return Coming(times.lead, waited=waited)

    def _about(self, supplier: int | None) -> DeliveryTimes:
        if supplier not in self._times:
            usual = USUAL_LEAD_DAYS if supplier is None else self.usual[supplier]
            loads = list(self.loads.values())
            self._times[supplier] = delivery_times(loads, supplier, usual, self.today)
        return self._times[supplier]


def _history(jobs: Sequence[Job], firm: Firm, at: datetime) -> _History:
    """One query. Loads nobody counted are out only while their job is open."""
    history = _History(local_day(at, firm))
    counted = Q(receipts__received_at__lte=at)
    rows = (
        Delivery.objects.filter(
            Q(created_at__gte=at - LOOKED_BACK) | Q(job__in=jobs), created_at__lte=at
        )
        .annotate(came_at=Min("receipts__device_at", filter=counted))
        .filter(Q(came_at__isnull=False) | Q(job__closed_at__isnull=True))
        .select_related("supplier")
        .order_by("pk")
    )
    for row in rows:
        history.usual[row.supplier_id] = row.supplier.usual_lead_days
        history.halves[row.pk] = row.due_half
        history.loads[row.pk] = PastLoad(
            supplier=row.supplier_id,
            ordered_on=row.ordered_on or local_day(row.created_at, firm),
            due_on=row.due_on,
            came_on=local_day(row.came_at, firm) if row.came_at else None,
            over_on=local_day(row.cancelled_at, firm) if row.cancelled_at else None,
        )
    return history
