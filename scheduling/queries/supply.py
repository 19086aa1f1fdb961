"""Materials of many jobs: what is on site, due, short or not ordered, as of a moment."""

from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import datetime

from django.db.models import Q

from jobs.models import BomLine, Job, Task
from scheduling.domain.supply import Load, Supply
from scheduling.models import DeliveryLine, ReceiptLine
from scheduling.queries.slots import as_slot


@dataclass(frozen=True, slots=True)
class LineSupply:
    """One line of a bill of materials, what brings it, and the tasks that need it."""

    line: BomLine
    supply: Supply
    task_ids: frozenset[int]


def line_supplies(jobs: Iterable[Job], at: datetime) -> list[LineSupply]:
    """Every line of these jobs as known at ``at``, by job and position. Four queries.

    Tasks that were done by then need nothing any more.
    """
    listed = list(jobs)
    lines = list(BomLine.objects.filter(job__in=listed))
    loads = _loads(listed, at)
    needers = _needers(listed, at)
    return [
        LineSupply(
            line=line,
            supply=Supply(line.quantity, tuple(loads[line.pk])),
            task_ids=frozenset(needers[line.job_id, line.part] if line.part else ()),
        )
        for line in lines
    ]


def _loads(jobs: list[Job], at: datetime) -> Mapping[int, list[Load]]:
    counts = _counts(jobs, at)
    rows = DeliveryLine.objects.filter(
        Q(delivery__cancelled_at__isnull=True) | Q(delivery__cancelled_at__gt=at),
        delivery__job__in=jobs,
        delivery__created_at__lte=at,
    ).select_related("delivery")
    loads: dict[int, list[Load]] = defaultdict(list)
    for row in rows.order_by("delivery_id"):
        due_on, received = row.delivery.due_on, counts.get(row.delivery_id)
        good, damaged, wrong = (received or {}).get(row.pk, (0.0, 0.0, 0.0))
        loads[row.bom_line_id].append(
            Load(
                delivery=row.delivery_id,
                ordered=row.ordered,
                due=as_slot(due_on, row.delivery.due_half) if due_on else None,
                checked_in=received is not None,
                good=good,
                damaged=damaged,
                wrong=wrong,
            )
        )
    return loads


Counts = dict[int, tuple[float, float, float]]


def _counts(jobs: list[Job], at: datetime) -> Mapping[int, Counts]:
    """Good, damaged and wrong pieces by delivery and line, over all its receipts."""
    found: dict[int, Counts] = {}
    rows = ReceiptLine.objects.filter(
        receipt__delivery__job__in=jobs, receipt__received_at__lte=at
    ).values_list("receipt__delivery_id", "line_id", "good", "damaged", "wrong")
    for delivery, line, *counted in rows:
        lines = found.setdefault(delivery, {})
        before = lines.get(line, (0.0, 0.0, 0.0))
        lines[line] = (
            before[0] + counted[0],
            before[1] + counted[1],
            before[2] + counted[2],
        )
    return found


def _needers(jobs: list[Job], at: datetime) -> Mapping[tuple[int, str], set[int]]:
    found: dict[tuple[int, str], set[int]] = defaultdict(set)
    open_tasks = Task.objects.filter(
        Q(done_at__isnull=True) | Q(done_at__gt=at), job__in=jobs
    )
    for pk, job_id, spec in open_tasks.values_list("pk", "job_id", "spec"):
        for part in spec.get("materials", ()):
            found[job_id, part].add(pk)
    return found
