"""Holds that the base app knows: dimensions not set, approvals not back."""

from collections.abc import Iterator, Sequence
from datetime import datetime

from jobs.domain.approvals import say_standing, to_do
from jobs.domain.holds import Basis, Hold, Stops
from jobs.domain.roles import Role
from jobs.models import FactsRevision, Job
from jobs.queries.approvals import ApprovalView, approvals_on
from jobs.queries.firm import local_day


def dimension_holds(jobs: Sequence[Job], at: datetime) -> Iterator[Hold]:
    """Jobs whose dimensions were not set yet. One query."""
    known = set(
        FactsRevision.objects.filter(job__in=jobs, at__lte=at).values_list(
            "job_id", flat=True
        )
    )
    for job in jobs:
        if job.pk not in known:
            yield Hold(
                rule="job.dimensions",
                job_id=job.pk,
                says="The dimensions are not set, so nothing can be worked out yet.",
                stops=frozenset({Stops.BOOKING, Stops.WORK}),
                cleared_by=frozenset({Role.OFFICE}),
                clear_by_doing="measure on site and set the dimensions.",
                basis=Basis.FIRM,
                since=job.created_at,
                record=("jobs.job#dimensions", job.pk),
            )


def approval_holds(jobs: Sequence[Job], at: datetime) -> Iterator[Hold]:
    """Approvals that are needed and not back. Five queries."""
    day = local_day(at)
    for view in approvals_on(day, jobs):
        if not view.standing.lets_work_start:
            yield _approval_hold(view)


def _approval_hold(view: ApprovalView) -> Hold:
    kind = view.approval.kind
    stops = {Stops.WORK}
    if kind.needed_before_booking:
        stops.add(Stops.BOOKING)
    return Hold(
        rule=f"approval.{kind.key}",
        job_id=view.approval.job_id,
        says=f"{say_standing(kind.name, view.standing)} {kind.why}".strip(),
        stops=frozenset(stops),
        cleared_by=frozenset({Role.OFFICE}),
        clear_by_doing=to_do(view.standing),
        basis=Basis(kind.basis),
        since=view.last.happened_on if view.last else view.approval.job.created_at,
        forecast=view.likely_on,
        record=("jobs.approval", view.approval.pk),
    )
