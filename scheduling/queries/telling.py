"""Whom a draft's changes concern: clients, crews, and suppliers whose loads move."""

from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date

from django.db.models import Q

from jobs.models import Job
from scheduling.domain.calendar import Slot, say_day
from scheduling.models import Delivery, DeliveryLine
from scheduling.queries.differences import Difference, Spot
from scheduling.queries.slots import as_slot


@dataclass(frozen=True, slots=True)
class Rebook:
    """A load that comes on the wrong day once the draft is published."""

    delivery: Delivery
    says: str


@dataclass(frozen=True, slots=True)
class Telling:
    """Who has to hear of a draft, and what."""

    clients: tuple[tuple[Job, str], ...]
    crews: tuple[tuple[str, tuple[str, ...]], ...]
    rebook: tuple[Rebook, ...]

    @property
    def anybody(self) -> bool:
        """Whether there is anybody to tell."""
        return bool(self.clients or self.crews or self.rebook)


def telling(changes: Sequence[Difference], today: date) -> Telling:
    """What a draft means for everybody, from its differences. One query."""
    changed = [change for change in changes if not change.is_same]
    concerned = {change.job.pk for change in changed}
    by_job: dict[int, list[Difference]] = defaultdict(list)
    for change in changes:
        if change.job.pk in concerned:
            by_job[change.job.pk].append(change)
    return Telling(
        clients=tuple((some[0].job, _to_client(some)) for some in by_job.values()),
        crews=tuple(_to_crews(changed)),
        rebook=tuple(_rebook(by_job, today)),
    )


def _to_client(changes: Iterable[Difference]) -> str:
    """First and last day on site, now and as it was."""
    listed = list(changes)
    before = [change.before for change in listed if change.before is not None]
    after = [change.after for change in listed if change.after is not None]
    if not after:
        return f"Off the plan; it was to begin on {say_day(_first(before))}."
    first, last = _first(after), _last(after)
    if not before:
        return f"We come on {say_day(first)} and are done on {say_day(last)}."
    if (first, last) == (_first(before), _last(before)):
        return (
            f"Still {say_day(first)} to {say_day(last)}; days or crew between change."
        )
    was = f"{say_day(_first(before))} to {say_day(_last(before))}"
    return f"Now {say_day(first)} to {say_day(last)}; it was {was}."


def _first(spots: Iterable[Spot]) -> date:
    return min(spot.start for spot in spots).day


def _last(spots: Iterable[Spot]) -> date:
    return max(spot.last for spot in spots).day


def _to_crews(changed: Iterable[Difference]) -> Iterator[tuple[str, tuple[str, ...]]]:
    words: dict[str, list[str]] = defaultdict(list)
    for change in changed:
        name = f"{change.job}, visit {change.visit.ordinal}"
        before, after = change.before, change.after
        if after is not None:
            words[after.crew].append(f"{name}: from {after.start} to {after.last}")
        if before is not None and (after is None or before.crew_id != after.crew_id):
            whose = "off the plan" if after is None else f"{after.crew} does it"
            words[before.crew].append(f"{name}: {whose}, not on {before.start}")
    for crew in sorted(words):
        yield crew, tuple(words[crew])


def _rebook(by_job: Mapping[int, list[Difference]], today: date) -> Iterator[Rebook]:
    """Loads for work that begins on another day than it did."""
    parts: dict[int, set[str]] = defaultdict(set)
    rows: dict[int, Delivery] = {}
    lines = DeliveryLine.objects.filter(
        Q(delivery__due_on__gte=today),
        delivery__job__in=by_job,
        delivery__cancelled_at__isnull=True,
        delivery__receipts__isnull=True,
    ).select_related("delivery__supplier", "delivery__job", "bom_line")
    for line in lines.order_by("delivery__due_on", "delivery_id"):
        rows[line.delivery_id] = line.delivery
        parts[line.delivery_id].add(line.bom_line.part)
    for pk, delivery in rows.items():
        needing = [c for c in by_job[delivery.job_id] if _needs(c, parts[pk])]
        says = _moved(delivery, needing)
        if says:
            yield Rebook(delivery, says)


def _needs(change: Difference, parts: set[str]) -> bool:
    return any(
        parts & set(task.spec.get("materials", ())) for task in change.visit.tasks.all()
    )


def _moved(delivery: Delivery, needing: Iterable[Difference]) -> str:
    """What to say to the supplier; empty when the load may come as it is ordered."""
    listed = list(needing)
    before = _earliest(change.before for change in listed)
    after = _earliest(change.after for change in listed)
    assert delivery.due_on is not None
    due = say_day(delivery.due_on)
    if before is None or before == after:
        return ""
    if after is None:
        return f"Due {due}; the work is off the plan."
    if after <= as_slot(delivery.due_on, delivery.due_half):
        return f"Due {due}; the work now begins on {after}. It has to come sooner."
    if after > before and after.day > delivery.due_on:
        return f"Due {due}; the work moves from {before} to {after}. It can come later."
    return ""


def _earliest(spots: Iterable[Spot | None]) -> Slot | None:
    return min((spot.start for spot in spots if spot is not None), default=None)
