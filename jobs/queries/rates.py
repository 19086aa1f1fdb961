"""Hours that came back from site, and the rates they speak for."""

from collections import defaultdict
from dataclasses import dataclass
from datetime import date, timedelta

from jobs.domain.durations import person_minutes
from jobs.domain.rates import Evidence, Learned, evidence, learn, log_ratio
from jobs.domain.takeoff import TakeOff
from jobs.domain.task_records import spec_from_json
from jobs.library import task_kinds
from jobs.models import Job, RateDecision, Task
from jobs.queries.facts import task_specs

LOOKED_BACK = timedelta(days=3 * 365)  # crews and tools change; older hours say little


def learned_on(day: date) -> Learned:
    """What the hours that are back by ``day`` say. One query."""
    rows = Task.objects.filter(
        actual_minutes__gt=0,
        estimated_minutes__gt=0,
        done_at__isnull=False,
        done_at__date__lte=day,
        done_at__date__gte=day - LOOKED_BACK,
    ).order_by("pk")
    groups: dict[str, list[float]] = defaultdict(list)
    for kind, actual, estimated, factor in rows.values_list(
        "kind", "actual_minutes", "estimated_minutes", "rate_factor"
    ):
        if not (actual and estimated):
            continue
        # The estimate had the factor of its day in it; the library's rate has not.
        groups[kind].append(log_ratio(actual, estimated / factor))
    return learn(groups)


def rate_factors() -> dict[str, float]:
    """Factors on the library's minutes in jobs opened now, by kind. One query."""
    rows = RateDecision.objects.order_by("pk").values_list("kind", "factor")
    return dict(rows)  # the last decision of a kind counts


@dataclass(frozen=True, slots=True)
class RateRow:
    """One kind of task on the page of rates."""

    name: str
    evidence: Evidence
    last: RateDecision | None

    @property
    def waits(self) -> bool:
        """Whether the office has something to decide that it has not decided yet."""
        kept = self.last is not None and not self.last.accepted
        asked = self.last.evidence.get("proposed") if self.last and kept else None
        return self.evidence.is_proposed and asked != self.evidence.proposed


def rate_rows(day: date) -> list[RateRow]:
    """Kinds of task with hours back, what waits for a decision first. Two queries."""
    decisions = {
        row.kind: row
        for row in RateDecision.objects.order_by("pk").select_related("decided_by")
    }
    in_use = {kind: row.factor for kind, row in decisions.items()}
    kinds = task_kinds()
    rows = [
        RateRow(
            name=kinds[found.kind].name if found.kind in kinds else found.kind,
            evidence=found,
            last=decisions.get(found.kind),
        )
        for found in evidence(learned_on(day), in_use)
    ]
    return sorted(rows, key=lambda row: not row.waits)


@dataclass(frozen=True, slots=True)
class HoursRow:
    """A task that is done, with what its rate says it takes."""

    task: Task
    estimated_minutes: float


def hours_rows(job: Job, take_off: TakeOff) -> list[HoursRow]:
    """Tasks of a job that are done, in order. Three queries."""
    done = {
        task.key: task for task in Task.objects.filter(job=job, done_at__isnull=False)
    }
    return [
        HoursRow(done[spec.key], person_minutes(spec, take_off))
        for spec in task_specs(job)
        if spec.key in done
    ]


def minutes_by_rate(task: Task, take_off: TakeOff) -> float:
    """What one task takes by its rate, all people together. No queries."""
    spec = spec_from_json(
        key=task.key, kind=task.kind, name=task.name, links=(), spec=task.spec
    )
    return person_minutes(spec, take_off)
