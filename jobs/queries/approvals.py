"""Approvals with their steps, and where they stand."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date, datetime, timedelta

from django.db.models import Prefetch

from jobs.domain.approvals import (
    Event,
    Standing,
    Step,
    standing_on,
    to_do,
)
from jobs.domain.lead_times import (
    LeadTimes,
    Range,
    days_waited,
    lead_times,
    likely_range,
    waits_in,
)
from jobs.domain.survival import Wait
from jobs.models import Approval, ApprovalEvent, ApprovalKind, Job
from jobs.queries.firm import local_day, the_firm

STRIP_DAYS = 60
LOOKED_BACK = timedelta(days=2 * 365)  # applications lodged before say little


@dataclass(frozen=True, slots=True)
class ApprovalView:
    """An approval as it stands on one day."""

    approval: Approval
    standing: Standing
    range: Range | None  # when it is likely back; None when it is not lodged
    times: LeadTimes  # how long its kind takes
    waited: int | None  # days with them, when it is lodged
    events: tuple[ApprovalEvent, ...]

    @property
    def last(self) -> ApprovalEvent | None:
        """The step recorded last."""
        return self.events[-1] if self.events else None

    @property
    def likely_on(self) -> date | None:
        """The day by which half of such applications are back."""
        return self.range.likely if self.range else None


def approvals_on(day: date, jobs: Iterable[Job]) -> list[ApprovalView]:
    """All approvals of these jobs as they stood at the end of ``day``. Five queries."""
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
    listed = list(rows)
    times = lead_times_on(day) if listed else {}
    return [_as_of(day, row, times) for row in listed]


def _as_of(day: date, row: Approval, times: Mapping[int, LeadTimes]) -> ApprovalView:
    past = tuple(e for e in row.events.all() if e.happened_on <= day)
    events = [Event(Step(e.step), e.happened_on, e.expires_on) for e in past]
    found = likely_range(
        day, events=events, expected_on=row.expected_on, times=times[row.kind_id]
    )
    return ApprovalView(
        approval=row,
        times=times[row.kind_id],
        waited=days_waited(day, events),
        standing=standing_on(day, required=row.required, events=events),
        range=found if row.required else None,
        events=past,
    )


def lead_times_on(day: date) -> dict[int, LeadTimes]:
    """How long each kind of approval takes, as known on ``day``. Three queries."""
    waits = _waits_by_kind(day)
    kinds = ApprovalKind.objects.values_list("pk", "usual_days")
    return {pk: lead_times(usual, waits.get(pk, [])) for pk, usual in kinds}


def _waits_by_kind(day: date) -> dict[int, list[Wait]]:
    rows = ApprovalEvent.objects.filter(
        approval__required=True,
        happened_on__lte=day,
        happened_on__gte=day - LOOKED_BACK,
    ).order_by("approval", "happened_on", "pk")
    events: dict[tuple[int, int, datetime | None], list[Event]] = {}
    for kind, approval, closed_at, step, happened_on in rows.values_list(
        "approval__kind_id",
        "approval_id",
        "approval__job__closed_at",
        "step",
        "happened_on",
    ):
        event = Event(Step(step), happened_on)
        events.setdefault((kind, approval, closed_at), []).append(event)
    firm, found = the_firm(), dict[int, list[Wait]]()
    for (kind, _, closed_at), steps in events.items():
        ended = local_day(closed_at, firm) if closed_at else None
        found.setdefault(kind, []).extend(waits_in(steps, day, ended))
    return found


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
    """Approvals with their likely return laid out for the page. No query."""
    return [
        OpenApproval(
            view=view,
            strip=RangeView(view.range, day) if view.range else None,
            days_waiting=(day - view.last.happened_on).days if view.last else None,
        )
        for view in views
    ]


def approvals_to_chase(day: date, jobs: Iterable[Job]) -> list[OpenApproval]:
    """Approvals that are needed and not back, the most urgent first. Five queries.

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
