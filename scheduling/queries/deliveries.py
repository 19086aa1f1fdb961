"""Deliveries as their pages show them."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, datetime

from django.db.models import F, Prefetch, Q, QuerySet, Sum, prefetch_related_objects

from jobs.domain.material_words import say_materials
from jobs.models import BomLine, Job
from scheduling.domain.supply import TOLERANCE, Load
from scheduling.models import Delivery, DeliveryLine, ReceiptLine
from scheduling.queries.slots import as_slot
from scheduling.queries.supply import line_supplies


@dataclass(frozen=True, slots=True)
class LineCount:
    """One line of a delivery with what came of it."""

    line: DeliveryLine
    load: Load
    notes: tuple[str, ...]

    @property
    def left(self) -> float:
        """How many have not come whole and right."""
        return max(0.0, self.load.ordered - self.load.good)

    @property
    def is_short(self) -> bool:
        """Whether it was counted and something is missing."""
        return self.load.missing > TOLERANCE


@dataclass(frozen=True, slots=True)
class DeliveryView:
    """A delivery with its lines, as it stands on a day."""

    delivery: Delivery
    lines: tuple[LineCount, ...]
    checked_in: bool
    today: date

    @property
    def is_late(self) -> bool:
        """Whether it should have come before today."""
        due = self.delivery.due_on
        return self.state == "ordered" and due is not None and due < self.today

    @property
    def is_at_hand(self) -> bool:
        """Whether the truck may be here: due by today, or counted once already."""
        due = self.delivery.due_on
        return self.checked_in or (due is not None and due <= self.today)

    @property
    def is_due_today(self) -> bool:
        """Whether it should come today."""
        return self.state == "ordered" and self.delivery.due_on == self.today

    @property
    def state(self) -> str:
        """Where it stands, in one word that the look knows."""
        if self.delivery.cancelled_at is not None:
            return "cancelled"
        if not self.checked_in:
            return "ordered"
        return "short" if any(line.is_short for line in self.lines) else "here"

    @property
    def says(self) -> str:
        """Where it stands, for people."""
        if self.is_late:
            return "Late"
        return {
            "cancelled": "Cancelled",
            "ordered": "On its way"
            if self.delivery.due_on
            else "Ordered, no day given",
            "short": "Came short",
            "here": "Here",
        }[self.state]

    @property
    def brings(self) -> str:
        """What it brings, in words."""
        lines = [row.line.bom_line for row in self.lines]
        return say_materials(((line.part, line.description) for line in lines), shown=9)


def delivery_views(deliveries: Iterable[Delivery], today: date) -> list[DeliveryView]:
    """Deliveries with lines and counts. Four queries beside their own."""
    listed = list(deliveries)
    lines = DeliveryLine.objects.select_related("bom_line")
    counts = ReceiptLine.objects.order_by("receipt__received_at")
    prefetch_related_objects(
        listed,
        "receipts",
        Prefetch("lines", lines),
        Prefetch("lines__received", counts),
    )
    return [_view(row, today) for row in listed]


def _view(row: Delivery, today: date) -> DeliveryView:
    checked_in = bool(row.receipts.all())
    return DeliveryView(
        delivery=row,
        lines=tuple(
            _count(row, line, checked_in=checked_in) for line in row.lines.all()
        ),
        checked_in=checked_in,
        today=today,
    )


def _count(row: Delivery, line: DeliveryLine, *, checked_in: bool) -> LineCount:
    received = list(line.received.all())
    load = Load(
        delivery=row.pk,
        ordered=line.ordered,
        due=as_slot(row.due_on, row.due_half) if row.due_on else None,
        checked_in=checked_in,
        good=sum(part.good for part in received),
        damaged=sum(part.damaged for part in received),
        wrong=sum(part.wrong for part in received),
    )
    return LineCount(line, load, tuple(part.note for part in received if part.note))


def deliveries_found(
    deliveries: QuerySet[Delivery], show: str, q: str, today: date
) -> QuerySet[Delivery]:
    """A list's deliveries: still to come, late, short, or all; found by words."""
    if q:
        deliveries = deliveries.filter(
            Q(job__title__icontains=q)
            | Q(job__site__address__icontains=q)
            | Q(job__site__suburb__icontains=q)
            | Q(supplier__name__icontains=q)
            | Q(reference__icontains=q)
            | (Q(job__number=int(q)) if q.isdigit() else Q(pk__in=[]))
        )
    return _shown(deliveries, show, today)


def _shown(
    deliveries: QuerySet[Delivery], show: str, today: date
) -> QuerySet[Delivery]:
    if show == "all":
        return deliveries.order_by("-due_on", "pk")
    live = deliveries.filter(cancelled_at__isnull=True).order_by("due_on", "pk")
    if show == "short":
        short = DeliveryLine.objects.annotate(came=Sum("received__good")).filter(
            came__lt=F("ordered")
        )
        return live.filter(pk__in=short.values("delivery"))
    open_ones = live.filter(receipts__isnull=True)
    return open_ones.filter(due_on__lt=today) if show == "late" else open_ones


def lines_to_order(job: Job, at: datetime) -> list[tuple[BomLine, float]]:
    """Lines of the job with what no load on its way or on site covers. Four queries."""
    return [
        (row.line, max(0.0, row.supply.missing - _coming(row.supply.to_come())))
        for row in line_supplies([job], at)
    ]


def lines_of(delivery: Delivery) -> list[tuple[BomLine, float]]:
    """Lines of the delivery's job with how many of each it brings now."""
    brought = dict(delivery.lines.values_list("bom_line_id", "ordered"))
    lines = delivery.job.bom_lines.order_by("position", "pk")
    return [(line, brought.get(line.pk, 0.0)) for line in lines]


def _coming(loads: Iterable[Load]) -> float:
    return sum(load.ordered for load in loads)
