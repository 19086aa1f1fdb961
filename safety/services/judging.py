"""Keep what was open at the moments when work went ahead."""

from collections import defaultdict
from collections.abc import Iterable, Sequence
from datetime import date, datetime
from typing import Any

from django.db import transaction

from jobs.domain.holds import Hold
from jobs.hold_registry import holds
from jobs.models import Firm, Job
from jobs.queries.firm import local_day
from safety.models import JudgedMoment
from safety.queries.evidence import evidence_between, judged_between, known_too_early


@transaction.atomic
def judge_moment(*, job: Job, moment: datetime, at: datetime) -> JudgedMoment:
    """Keep the holds of one job at one moment, as known at ``at``."""
    return _judge([job], moment, at)[0]


def judge_again(*, first: date, last: date, firm: Firm, at: datetime) -> int:
    """Judge every moment of work between two days that is new or known too early.

    Moments that no work stands behind any more are dropped. Says how many were judged.
    """
    wanted = {
        (row.job_id, row.moment) for row in evidence_between(None, first, last, firm)
    }
    kept = judged_between(None, first, last, firm)
    outdated = known_too_early(first, last, firm)
    gone = [row.pk for key, row in kept.items() if key not in wanted]
    JudgedMoment.objects.filter(pk__in=gone).delete()
    todo: dict[datetime, set[int]] = defaultdict(set)
    for job_id, moment in wanted:
        if (job_id, moment) not in kept or (job_id, moment) in outdated:
            todo[moment].add(job_id)
    jobs = Job.objects.in_bulk({pk for pks in todo.values() for pk in pks})
    for moment in sorted(todo):
        _judge([jobs[pk] for pk in sorted(todo[moment])], moment, at)
    return sum(len(pks) for pks in todo.values())


def judge_soon(job: Job, moment: datetime, at: datetime, firm: Firm) -> None:
    """Judge work that was just recorded, at the moment it happened."""
    judge_moment(job=job, moment=moment, at=at)
    day = local_day(moment, firm)
    if moment < at:  # it arrived late: what followed it may look different now
        judge_again(first=day, last=local_day(at, firm), firm=firm, at=at)


@transaction.atomic
def _judge(jobs: Sequence[Job], moment: datetime, at: datetime) -> list[JudgedMoment]:
    found = holds(jobs, moment)
    return [
        JudgedMoment.objects.update_or_create(
            job=job,
            at=moment,
            defaults={"holds": _plain(found[job.pk]), "as_known_at": at},
        )[0]
        for job in jobs
    ]


def _plain(found: Iterable[Hold]) -> list[dict[str, Any]]:
    return [
        {
            "rule": hold.rule,
            "says": hold.says,
            "do": hold.clear_by_doing,
            "stops": sorted(hold.stops),
            "cleared_by": sorted(hold.cleared_by),
            "basis": hold.basis.value,
            "tasks": sorted(hold.task_ids),
            "record": list(hold.record) if hold.record else None,
        }
        for hold in found
    ]
