"""Jobs by obligations over a period: met, open, breached or not needed.

Every cell comes from the holds: breached when work went ahead under one, open while one
is there now, met when there is a record that clears it, not needed otherwise.
"""

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime

from django.db.models import Q

from jobs.domain.holds import Hold
from jobs.hold_registry import holds
from jobs.models import ApprovalKind, Firm, Job, JobQuerySet
from jobs.queries.firm import local_day
from safety.domain.obligations import CellState, Obligation, obligation_of
from safety.queries.breaches import Breach, Looked, breaches_between
from safety.queries.proofs import Proof, proofs_of
from safety.queries.work import day_limits

COLUMNS = tuple(o for o in Obligation if o is not Obligation.OTHER)
_SHIPPED_KINDS = ("engineer", "council")


@dataclass(frozen=True, slots=True)
class Cell:
    """One obligation of one job, with the records behind it."""

    job: Job
    obligation: Obligation
    state: CellState
    today: date
    breaches: tuple[Breach, ...] = ()
    open_holds: tuple[Hold, ...] = ()
    proofs: tuple[Proof, ...] = ()

    @property
    def says(self) -> str:
        """The first thing behind it, in a sentence."""
        if self.breaches:
            return self.breaches[-1].says_on(self.today)
        if self.open_holds:
            return self.open_holds[0].says
        return self.proofs[0].says if self.proofs else ""


@dataclass(frozen=True, slots=True)
class Row:
    """One job with its cells in the order of the columns."""

    job: Job
    cells: tuple[Cell, ...]


@dataclass(frozen=True, slots=True)
class Period:
    """Days looked at, both included, and the moment that "now" is in it."""

    first: date
    last: date
    at: datetime
    today: date
    firm: Firm


def period(first: date, last: date, now: datetime, firm: Firm) -> Period:
    """A period; it is looked at from its end, or from now when it still runs."""
    end = day_limits(last, firm)[1]
    return Period(first, last, min(now, end), local_day(now, firm), firm)


def jobs_in(jobs: JobQuerySet, span: Period) -> JobQuerySet:
    """Jobs that were open at some time of the period, the newest first."""
    start = day_limits(span.first, span.firm)[0]
    return jobs.filter(
        Q(closed_at__isnull=True) | Q(closed_at__gte=start), created_at__lte=span.at
    ).order_by("-number")


def columns() -> tuple[Obligation, ...]:
    """The columns of the table; other approvals only where the firm has any. One query."""
    others = ApprovalKind.objects.exclude(key__in=_SHIPPED_KINDS).exists()
    return tuple(o for o in COLUMNS if others or o is not Obligation.OTHER_APPROVALS)


def compliance_of(
    jobs: Iterable[Job], span: Period, shown: Sequence[Obligation] = COLUMNS
) -> list[Row]:
    """The table's rows for these jobs. A fixed number of queries, whatever the jobs."""
    listed = list(jobs)
    looked = breaches_between(listed, span.first, span.last, span.firm)
    open_now = holds(listed, span.at)
    proofs = proofs_of(listed, span.first, span.last, span.at, span.firm)
    breaches = _breaches_by(looked)
    return [
        Row(
            job,
            tuple(
                _cell(
                    job,
                    column,
                    span.today,
                    breaches.get((job.pk, column), ()),
                    _about(open_now[job.pk], column),
                    proofs.get((job.pk, column), ()),
                )
                for column in shown
            ),
        )
        for job in listed
    ]


def _breaches_by(
    looked: Looked,
) -> Mapping[tuple[int, Obligation], Sequence[Breach]]:
    found: dict[tuple[int, Obligation], list[Breach]] = defaultdict(list)
    for breach in looked.breaches:
        found[breach.job_id, breach.obligation].append(breach)
    return found


def _about(open_holds: Iterable[Hold], column: Obligation) -> tuple[Hold, ...]:
    return tuple(hold for hold in open_holds if obligation_of(hold.rule) is column)


def _cell(
    job: Job,
    column: Obligation,
    today: date,
    breaches: Sequence[Breach],
    open_holds: tuple[Hold, ...],
    proofs: Sequence[Proof],
) -> Cell:
    return Cell(
        job=job,
        obligation=column,
        state=_state(breaches, open_holds, proofs),
        today=today,
        breaches=tuple(breaches),
        open_holds=open_holds,
        proofs=tuple(proofs),
    )


def _state(
    breaches: Sequence[Breach], open_holds: Sequence[Hold], proofs: Sequence[Proof]
) -> CellState:
    if breaches:
        return CellState.BREACHED
    if open_holds:
        return CellState.OPEN
    if any(proof.counts for proof in proofs):
        return CellState.MET
    return CellState.NOT_NEEDED
