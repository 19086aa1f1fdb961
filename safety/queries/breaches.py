"""What went ahead that should not have: work at a moment when a hold stopped it."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime

from jobs.domain.holds import Basis, Stops
from jobs.domain.verbs import Verb
from jobs.models import Firm, Job, LedgerEntry
from jobs.queries.firm import local_day
from safety.domain.obligations import (
    HOLD_POINT,
    Obligation,
    PastHold,
    obligation_of,
    past_holds,
)
from safety.models import JudgedMoment
from safety.queries.evidence import Evidence, Key, evidence_between, judged_between
from safety.queries.hold_points import HoldPoint, not_passed_at_handover
from safety.queries.work import day_limits


@dataclass(frozen=True, slots=True)
class Breach:
    """Work of one job on one day that went ahead under one hold."""

    job_id: int
    day: date
    moment: datetime  # the first time that day
    hold: PastHold
    work: tuple[Evidence, ...]

    @property
    def obligation(self) -> Obligation:
        """The column of the compliance table it belongs to."""
        return obligation_of(self.hold.rule)

    def says_on(self, today: date) -> str:
        """The hold in a sentence, for somebody who reads it today."""
        return self.hold.says if self.day >= today else self.hold.said_later

    @property
    def what(self) -> str:
        """What went ahead, in words: "started work (Sal, Cam), task started (…)"."""
        names: dict[str, list[str]] = {}
        for work in self.work:
            names.setdefault(work.what.lower(), []).append(work.who)
        return ", ".join(f"{what} ({', '.join(who)})" for what, who in names.items())


@dataclass(frozen=True, slots=True)
class Looked:
    """Breaches of a period, its evidence, and how much is not judged yet."""

    breaches: tuple[Breach, ...]
    evidence: tuple[Evidence, ...]
    unjudged: int


def breaches_between(
    jobs: Iterable[Job] | None, first: date, last: date, firm: Firm
) -> Looked:
    """Breaches of these jobs (None: of all) between two days, latest first.

    Ten queries, six when no job was handed over.
    """
    evidence = evidence_between(jobs, first, last, firm)
    judged = judged_between(jobs, first, last, firm)
    return Looked(
        breaches=_latest_first(
            [
                *_breaches(evidence, judged),
                *handed_over_too_early(jobs, first, last, firm),
            ]
        ),
        evidence=tuple(evidence),
        unjudged=len({(e.job_id, e.moment) for e in evidence} - judged.keys()),
    )


def _breaches(
    evidence: Sequence[Evidence], judged: dict[Key, JudgedMoment]
) -> list[Breach]:
    """One breach for each job, day and rule, whoever worked and how often."""
    kept = {key: past_holds(row.holds) for key, row in judged.items()}
    found: dict[tuple[int, date, str], tuple[PastHold, list[Evidence]]] = {}
    for work in evidence:
        for hold in kept.get((work.job_id, work.moment), ()):
            if hold.stopped(work.task_id):
                key = (work.job_id, work.day, hold.rule)
                found.setdefault(key, (hold, []))[1].append(work)
    return [
        Breach(job_id, day, work[0].moment, hold, tuple(work))
        for (job_id, day, _), (hold, work) in found.items()
    ]


def _latest_first(breaches: Iterable[Breach]) -> tuple[Breach, ...]:
    return tuple(sorted(breaches, key=lambda breach: breach.moment, reverse=True))


def handed_over_too_early(
    jobs: Iterable[Job] | None, first: date, last: date, firm: Firm
) -> list[Breach]:
    """Jobs handed over with hold points not passed, a breach for each. Five queries.

    Read from the records themselves: a closed job has no holds that could be judged.
    """
    start, end = day_limits(first, firm)[0], day_limits(last, firm)[1]
    rows = Job.objects.filter(
        closed_how=Job.Closed.HANDED_OVER, closed_at__gte=start, closed_at__lt=end
    )
    if jobs is not None:
        rows = rows.filter(pk__in=[job.pk for job in jobs])
    closed = {job.pk: job for job in rows}
    points = not_passed_at_handover([*closed.values()])
    who = _who_closed({point.task.job_id for point in points})
    return [
        _handed_over(closed[point.task.job_id], point, who, firm) for point in points
    ]


def _who_closed(job_ids: Iterable[int]) -> dict[str, str]:
    """Who closed each job the last time, by the ledger's name of it. One query."""
    entries = LedgerEntry.objects.filter(
        verb=Verb.JOB_CLOSED, subject__in=[_subject(pk) for pk in job_ids]
    )
    return dict(entries.order_by("at", "pk").values_list("subject", "actor_name"))


def _subject(job_id: int) -> str:
    return f"{Job._meta.label_lower}:{job_id}"


def _handed_over(
    job: Job, point: HoldPoint, who: Mapping[str, str], firm: Firm
) -> Breach:
    assert job.closed_at is not None  # that is how it was found
    practice = point.spec.source.startswith(Basis.PRACTICE)
    state = "had failed" if point.last else "was never measured"
    day, record = local_day(job.closed_at, firm), ("safety.hold_point", point.task.pk)
    hold = PastHold(
        rule=f"{HOLD_POINT}.{point.spec.key}",
        says=f"The hold point after “{point.task.name}” {state}: {point.spec.says}",
        do="measure it.",
        basis=Basis.PRACTICE if practice else Basis.FIRM,
        stops=(Stops.HANDOVER,),
        task_ids=frozenset({point.task.pk}),
        record=record,
    )
    by = who.get(_subject(job.pk), "nobody known")
    work = Evidence(job.pk, job.closed_at, day, "Handed over", by, record)
    return Breach(job.pk, day, job.closed_at, hold, (work,))
