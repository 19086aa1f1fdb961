"""Where a condition holds today, over all open jobs."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime

from django.db.models import Min, OuterRef, QuerySet, Subquery

from jobs.domain.facts import from_json
from jobs.models import FactsRevision, Firm, Job
from jobs.queries.firm import local_day
from safety.domain.conditions import Condition
from safety.domain.engine import holding
from safety.domain.library import Scope
from safety.domain.traces import Outcome
from safety.queries.plans import place_of
from safety.queries.rules import rules_at
from scheduling.models import CrewSlot

AT_ONCE = 150  # jobs looked at for one page; up to 10 ms each


@dataclass(frozen=True, slots=True)
class InJob:
    """The steps of a job in which it holds; ``unknown`` of them for want of a fact."""

    job: Job
    steps: tuple[str, ...]
    unknown: int


@dataclass(frozen=True, slots=True)
class Reach:
    """Open jobs in which a condition holds, of those whose facts are known.

    ``left_out`` are older ones that were not looked at.
    """

    looked_at: int
    left_out: int
    jobs: tuple[InJob, ...]

    @property
    def steps(self) -> int:
        """Steps in which it holds."""
        return sum(len(one.steps) for one in self.jobs)

    @property
    def unknown(self) -> int:
        """Steps in which it counts only because nobody knows yet."""
        return sum(one.unknown for one in self.jobs)


def reach(
    condition: Condition, scope: Scope, at: datetime, firm: Firm, most: int = AT_ONCE
) -> Reach:
    """Where a condition holds now, each job on the day of its plan. Seven queries at most.

    The newest jobs are looked at, ``most`` of them, so that nobody waits long.
    """
    today, rules = local_day(at, firm), rules_at(at, firm)
    latest = _latest(at)
    rows = list(latest[:most])
    left_out = latest.count() - most if len(rows) == most else 0
    days = _days([row.job_id for row in rows], today)

    def in_job(row: FactsRevision) -> InJob:
        facts = from_json(row.facts)
        book, on = rules.book(place_of(facts)), days.get(row.job_id, today)
        steps = holding(condition, scope, facts, book, on)
        unknown = sum(outcome is Outcome.UNKNOWN for _, outcome in steps)
        return InJob(row.job, tuple(name for name, _ in steps), unknown)

    found = (in_job(row) for row in rows)
    return Reach(len(rows), left_out, tuple(one for one in found if one.steps))


def _latest(at: datetime) -> QuerySet[FactsRevision]:
    """The last facts of every open job, the newest job first."""
    last = FactsRevision.objects.filter(job=OuterRef("job"), at__lte=at)
    newest = Subquery(last.order_by("-number").values("pk")[:1])
    rows = FactsRevision.objects.filter(job__in=Job.objects.open(), pk=newest)
    return rows.select_related("job").order_by("-job__number")


def _days(jobs: Sequence[int], today: date) -> dict[int, date]:
    """The next day each job is booked, today included."""
    slots = CrewSlot.objects.filter(booking__visit__job__in=jobs, day__gte=today)
    by_job = slots.values_list("booking__visit__job").annotate(first=Min("day"))
    return dict(by_job.order_by())
