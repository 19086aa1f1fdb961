"""Records that show an obligation was met, by job, over a period."""

from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime

from django.db.models import Q, QuerySet

from jobs.domain.approvals import Standing
from jobs.library import ticket_kinds
from jobs.models import Firm, Job, Task
from jobs.queries.approvals import ApprovalView, approvals_on
from jobs.queries.firm import local_day
from safety.domain.obligations import Obligation, obligation_of
from safety.domain.tool_tests import TestState
from safety.models import DailyCheck, Measurement, SignOn, Statement
from safety.queries.tool_tests import every_months, test_rule, tested_tools_at
from safety.queries.work import day_limits
from scheduling.models import Receipt

Key = tuple[int, Obligation]


@dataclass(frozen=True, slots=True)
class Proof:
    """One record behind a cell. ``counts`` is False where it says "not needed"."""

    job_id: int
    obligation: Obligation
    says: str
    record: tuple[str, int]
    when: date | datetime | None = None
    counts: bool = True


def proofs_of(
    jobs: Sequence[Job], first: date, last: date, at: datetime, firm: Firm
) -> Mapping[Key, Sequence[Proof]]:
    """Records of these jobs up to a moment, by job and obligation. Eleven queries.

    Approvals, statements and sign-ons count whenever they were made; checks,
    measurements, tickets, tools and deliveries when they fall into the period.
    """
    start, end = day_limits(first, firm)[0], min(day_limits(last, firm)[1], at)
    found: dict[Key, list[Proof]] = defaultdict(list)
    for proof in (
        *_approvals(jobs, local_day(at, firm)),
        *_statements(jobs, at),
        *_sign_ons(jobs, at),
        *_checks(jobs, first, last, at),
        *_measurements(jobs, start, end),
        *_tickets(jobs, start, end),
        *_tools(jobs, (start, end), at, firm),
        *_receipts(jobs, start, end),
    ):
        found[proof.job_id, proof.obligation].append(proof)
    return found


def _approvals(jobs: Iterable[Job], day: date) -> Iterator[Proof]:
    for view in approvals_on(day, jobs):
        if view.standing.lets_work_start:
            yield _approval(view)


def _approval(view: ApprovalView) -> Proof:
    kind = view.approval.kind
    record = ("jobs.approval", view.approval.pk)
    obligation = obligation_of(f"approval.{kind.key}")
    if view.standing is Standing.NOT_NEEDED:
        says = f"{kind.name} is not needed: {view.approval.not_required_reason}"
        return Proof(view.approval.job_id, obligation, says, record, counts=False)
    last = view.last
    reference = f", {last.reference}" if last and last.reference else ""
    return Proof(
        view.approval.job_id,
        obligation,
        f"{kind.name} granted{reference}.",
        record,
        last.happened_on if last else None,
    )


def _statements(jobs: Iterable[Job], at: datetime) -> Iterator[Proof]:
    rows = Statement.objects.filter(job__in=jobs, issued_at__lte=at).defer("content")
    for row in rows.select_related("issued_by").order_by("number"):
        by = row.issued_by.name if row.issued_by else "nobody"
        yield Proof(
            row.job_id,
            Obligation.STATEMENT,
            f"Version {row.number} issued by {by}.",
            ("safety.statement", row.pk),
            row.issued_at,
        )


def _sign_ons(jobs: Iterable[Job], at: datetime) -> Iterator[Proof]:
    rows = SignOn.objects.filter(statement__job__in=jobs, device_at__lte=at)
    for job_id, pk, number, name, when in rows.order_by("device_at").values_list(
        "statement__job_id",
        "statement_id",
        "statement__number",
        "person__name",
        "device_at",
    ):
        says = f"{name} signed on to version {number}."
        record = ("safety.statement", pk)
        yield Proof(job_id, Obligation.SIGN_ON, says, record, when)


def _checks(
    jobs: Iterable[Job], first: date, last: date, at: datetime
) -> Iterator[Proof]:
    rows = DailyCheck.objects.filter(
        job__in=jobs, day__range=(first, last), device_at__lte=at
    ).select_related("checked_by")
    for row in rows.order_by("device_at"):
        outcome = row.get_outcome_display()
        yield Proof(
            row.job_id,
            Obligation.DAILY_CHECK,
            f"{outcome}, said {row.checked_by.name}.",
            ("safety.daily_check", row.pk),
            row.device_at,
        )


def _measurements(
    jobs: Iterable[Job], start: datetime, end: datetime
) -> Iterator[Proof]:
    rows = Measurement.objects.filter(
        task__job__in=jobs, device_at__gte=start, device_at__lt=end
    ).select_related("task")
    for row in rows.order_by("device_at"):
        word = "Passed" if row.passed else "Failed"
        yield Proof(
            row.task.job_id,
            Obligation.HOLD_POINTS,
            f"{word}: {row.task.name}.",
            ("safety.hold_point", row.task_id),
            row.device_at,
            counts=row.passed,
        )


def _tickets(jobs: Iterable[Job], start: datetime, end: datetime) -> Iterator[Proof]:
    rows = _worked(jobs, start, end).exclude(spec__tickets=[])
    for task in rows:
        names = [
            known.name if (known := ticket_kinds().get(kind)) else kind
            for kind in task.spec["tickets"]
        ]
        yield Proof(
            task.job_id,
            Obligation.TICKETS,
            f"“{task.name}” asks for: {', '.join(names)}.",
            ("safety.hold_point", task.pk),
            task.started_at,
        )


def _tools(
    jobs: Iterable[Job], span: tuple[datetime, datetime], at: datetime, firm: Firm
) -> Iterator[Proof]:
    """Tasks worked on with a tool of the list that had a good test that day."""
    listed = tested_tools_at(local_day(span[1], firm), at)
    for task in _worked(jobs, *span).exclude(spec__tools=[]):
        moment = task.started_at or task.done_at
        assert moment is not None  # that is how it was found
        day = local_day(moment, firm)
        every = every_months(test_rule(firm.pack, day))
        used = {use["tool"] for use in task.spec.get("tools", ())}
        for tool in listed:
            if tool.kind in used and tool.state(day, every) is TestState.GOOD:
                yield Proof(
                    task.job_id,
                    Obligation.TOOLS,
                    f"“{task.name}”: “{tool.name}” {tool.says(day, every)}.",
                    ("safety.tool_item", tool.pk),
                    moment,
                )


def _worked(jobs: Iterable[Job], start: datetime, end: datetime) -> QuerySet[Task]:
    """Tasks started or done in a span, in order."""
    return Task.objects.filter(
        Q(started_at__gte=start, started_at__lt=end)
        | Q(done_at__gte=start, done_at__lt=end),
        job__in=jobs,
    ).order_by("started_at")


def _receipts(jobs: Iterable[Job], start: datetime, end: datetime) -> Iterator[Proof]:
    rows = Receipt.objects.filter(
        delivery__job__in=jobs, received_at__gte=start, received_at__lt=end
    ).select_related("delivery__supplier", "received_by")
    for row in rows.order_by("received_at"):
        yield Proof(
            row.delivery.job_id,
            Obligation.DELIVERY,
            f"Load from {row.delivery.supplier} checked in by {row.received_by.name}.",
            ("scheduling.delivery", row.delivery_id),
            row.received_at,
        )
