"""What went ahead that should not have: work at a moment when a hold stopped it."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, datetime

from jobs.models import Firm, Job
from safety.domain.obligations import (
    Obligation,
    PastHold,
    obligation_of,
    past_holds,
)
from safety.models import JudgedMoment
from safety.queries.evidence import Evidence, Key, evidence_between, judged_between


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
    """Breaches of these jobs (None: of all) between two days, latest first. Five queries."""
    evidence = evidence_between(jobs, first, last, firm)
    judged = judged_between(jobs, first, last, firm)
    return Looked(
        breaches=_breaches(evidence, judged),
        evidence=tuple(evidence),
        unjudged=len({(e.job_id, e.moment) for e in evidence} - judged.keys()),
    )


def _breaches(
    evidence: Sequence[Evidence], judged: dict[Key, JudgedMoment]
) -> tuple[Breach, ...]:
    """One breach for each job, day and rule, whoever worked and how often."""
    kept = {key: past_holds(row.holds) for key, row in judged.items()}
    found: dict[tuple[int, date, str], tuple[PastHold, list[Evidence]]] = {}
    for work in evidence:
        for hold in kept.get((work.job_id, work.moment), ()):
            if hold.stopped(work.task_id):
                key = (work.job_id, work.day, hold.rule)
                found.setdefault(key, (hold, []))[1].append(work)
    breaches = [
        Breach(job_id, day, work[0].moment, hold, tuple(work))
        for (job_id, day, _), (hold, work) in found.items()
    ]
    return tuple(sorted(breaches, key=lambda breach: breach.moment, reverse=True))
