"""Approvals with their steps, and where they stand."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date, timedelta

from django.db.models import Prefetch

from jobs.domain.approvals import (
    Event,
    Standing,
    Step,
    likely_return,
    standing_on,
    to_do,
)
from jobs.domain.lead_times import Range, lead_days, likely_range
from jobs.models import Approval, ApprovalEvent, Job

STRIP_DAYS = 60


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


@dataclass(frozen=True, slots=True)
class RangeView:
    """A likely return laid on a strip of 60 days; columns count from 1."""

    range: Range
    today: date

    @property
    def window_start(self) -> date:
        """First day of the strip: the Monday of this week."""
        return self.today - timedelta(days=self.today.weekday())

    @property
    def window_end(self) -> date:
        """Last day of the strip."""
        return self.window_start + timedelta(days=STRIP_DAYS - 1)

    @property
    def today_col(self) -> int:
        """Where today is."""
        return self._column(self.today)

    @property
    def from_col(self) -> int:
        """Where the likely return begins."""
        return self._column(self.range.earliest)

    @property
    def likely_col(self) -> int:
        """Where it is likeliest."""
        return self._column(self.range.likely)

    @property
    def span(self) -> int:
        """Days of the likely return."""
        return self._column(self.range.latest) - self.from_col + 1

    def _column(self, day: date) -> int:
        return min(max((day - self.window_start).days + 1, 1), STRIP_DAYS)


@dataclass(frozen=True, slots=True)
class OpenApproval:
    """An approval in the way of a job, with when it is likely back."""

    view: ApprovalView
    strip: RangeView | None
    days_waiting: int | None  # since the last step

    @property
    def is_late(self) -> bool:
        """Whether they take longer than they said, or than is usual."""
        return self.strip is not None and self.strip.range.overdue

    @property
    def may_wait(self) -> bool:
        """Whether there is nothing to do before it is likely back."""
        return self.view.standing is Standing.LODGED and not self.is_late

    @property
    def todo(self) -> str:
        """What the office does about it."""
        if self.is_late:
            return "ring them: it should be back by now."
        return to_do(self.view.standing)


def with_ranges(day: date, views: Iterable[ApprovalView]) -> list[OpenApproval]:
    """Approvals with their likely return on ``day``. One query."""
    listed = list(views)
    past = past_lead_days(day, {view.approval.kind_id for view in listed})
    return [_open(day, view, past) for view in listed]


def _open(day: date, view: ApprovalView, past: Mapping[int, list[int]]) -> OpenApproval:
    approval = view.approval
    found = likely_range(
        day,
        events=[Event(Step(e.step), e.happened_on, e.expires_on) for e in view.events],
        usual_days=approval.kind.usual_days,
        expected_on=approval.expected_on,
        past=past.get(approval.kind_id, []),
    )
    return OpenApproval(
        view=view,
        strip=RangeView(found, day) if found and approval.required else None,
        days_waiting=(day - view.last.happened_on).days if view.last else None,
    )


def past_lead_days(day: date, kinds: Iterable[int]) -> dict[int, list[int]]:
    """Lead times of the last two years by kind, as known on ``day``. One query."""
    rows = ApprovalEvent.objects.filter(
        approval__kind__in=list(kinds),
        happened_on__lte=day,
        happened_on__gte=day - timedelta(days=2 * 365),
    ).order_by("approval", "happened_on", "pk")
    events: dict[tuple[int, int], list[Event]] = {}
    for approval, kind, step, happened_on in rows.values_list(
        "approval_id", "approval__kind_id", "step", "happened_on"
    ):
        events.setdefault((kind, approval), []).append(Event(Step(step), happened_on))
    found: dict[int, list[int]] = {}
    for (kind, _), steps in events.items():
        taken = lead_days(steps)
        if taken is not None:
            found.setdefault(kind, []).append(taken)
    return found


def approvals_to_chase(day: date, jobs: Iterable[Job]) -> list[OpenApproval]:
    """Approvals that are needed and not back, the most urgent first. Three queries.

    What waits on us, then what is late, then what has to be lodged, then what may wait;
    among these by the day the job is promised or wanted, then the longest waiting.
    """
    views = [v for v in approvals_on(day, jobs) if not v.standing.lets_work_start]
    return sorted(with_ranges(day, views), key=_urgency)


def _urgency(row: OpenApproval) -> tuple[int, date, int, int]:
    if row.view.standing is Standing.WAITING_ON_US:
        rank = 0
    elif row.view.standing is Standing.LODGED:
        rank = 1 if row.is_late else 4
    else:
        rank = 3 if row.view.standing is Standing.NOT_LODGED else 2
    job = row.view.approval.job
    due = job.promised_on or job.wanted_on or date.max
    return rank, due, -(row.days_waiting or 0), job.number
