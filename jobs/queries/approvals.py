"""Approvals with their steps, and where they stand."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date

from django.db.models import Prefetch

from jobs.domain.approvals import Event, Standing, Step, likely_return, standing_on
from jobs.models import Approval, ApprovalEvent, Job


@dataclass(frozen=True, slots=True)
class ApprovalView:
    """An approval as it stands on one day."""

    approval: Approval
    standing: Standing
    likely_on: date | None
    events: tuple[ApprovalEvent, ...]

    @property
    def last(self) -> ApprovalEvent | None:
        """The step recorded last."""
        return self.events[-1] if self.events else None


def approvals_on(day: date, jobs: Iterable[Job]) -> list[ApprovalView]:
    """All approvals of these jobs as they stood at the end of ``day``. Two queries."""
    rows = (
        Approval.objects.filter(job__in=list(jobs))
        .select_related("kind", "job")
        .prefetch_related(
            Prefetch(
                "events",
                ApprovalEvent.objects.select_related("document", "recorded_by"),
            )
        )
    )
    return [_as_of(day, row) for row in rows]


def _as_of(day: date, row: Approval) -> ApprovalView:
    past = tuple(e for e in row.events.all() if e.happened_on <= day)
    events = [Event(Step(e.step), e.happened_on, e.expires_on) for e in past]
    return ApprovalView(
        approval=row,
        standing=standing_on(day, required=row.required, events=events),
        likely_on=likely_return(
            day,
            events=events,
            usual_days=row.kind.usual_days,
            expected_on=row.expected_on,
        ),
        events=past,
    )
