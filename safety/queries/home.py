"""What the first page shows: what stops what, what to chase, what comes next."""

from collections import Counter, defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from django.db.models import F, Q

from jobs.domain.approvals import Standing
from jobs.domain.holds import Hold
from jobs.domain.roles import Role
from jobs.models import Job, Person
from jobs.queries.approvals import ApprovalView, approvals_on
from safety.domain.obligations import CHECK_NO_GO, Obligation, obligation_of
from safety.models import SignOn, Statement
from scheduling.models import CrewSlot, Delivery, PersonSlot

SHOWN = 12  # holds of a group on the first page; the list of jobs has the rest
AHEAD = timedelta(days=14)
DELIVERIES_AHEAD = timedelta(days=7)
_ORDER = (Role.OFFICE, Role.SITE_LEAD, Role.CREW, Role.OWNER)


@dataclass(frozen=True, slots=True)
class HeldBy:
    """Holds that one kind of person can clear, the soonest job first."""

    role: Role
    holds: tuple[Hold, ...]
    jobs: int

    @property
    def shown(self) -> tuple[Hold, ...]:
        """The first of them."""
        return self.holds[:SHOWN]

    @property
    def more(self) -> int:
        """How many are not shown."""
        return len(self.holds) - len(self.shown)


@dataclass(frozen=True, slots=True)
class Chase:
    """An approval that somebody has to go after, and how long it has waited."""

    view: ApprovalView
    days_waiting: int | None
    overdue: bool


@dataclass(frozen=True, slots=True)
class Stopped:
    """How many holds speak of an obligation, in how many jobs."""

    obligation: Obligation
    holds: int
    jobs: int


@dataclass(frozen=True, slots=True)
class MyDay:
    """A day that a person is booked on a job."""

    day: date
    job: Job
    halves: tuple[str, ...]
    crew: str


def next_days(jobs: Iterable[Job], today: date) -> dict[int, date]:
    """The next booked day of each job, today included. One query."""
    rows = CrewSlot.objects.filter(
        booking__visit__job__in=list(jobs),
        booking__cancelled_at__isnull=True,
        day__gte=today,
    ).order_by("-day")
    return dict(rows.values_list(F("booking__visit__job"), "day"))


def held_by(
    found: Mapping[int, Sequence[Hold]], days: Mapping[int, date]
) -> list[HeldBy]:
    """Holds by who can clear them; the job that is booked soonest first."""
    groups: dict[Role, list[Hold]] = defaultdict(list)
    for open_holds in found.values():
        for hold in open_holds:
            groups[_clearer(hold)].append(hold)
    return [
        HeldBy(
            role,
            tuple(sorted(groups[role], key=lambda hold: _urgency(hold, days))),
            len({hold.job_id for hold in groups[role]}),
        )
        for role in _ORDER
        if groups[role]
    ]


def _clearer(hold: Hold) -> Role:
    return next((role for role in _ORDER if role in hold.cleared_by), Role.OFFICE)


def _urgency(hold: Hold, days: Mapping[int, date]) -> tuple[date, bool, int]:
    return days.get(hold.job_id, date.max), not hold.stops_work(), hold.job_id


def no_gos(found: Mapping[int, Sequence[Hold]]) -> list[Hold]:
    """Jobs on which the site lead said no go today."""
    return [
        hold
        for open_holds in found.values()
        for hold in open_holds
        if hold.rule == CHECK_NO_GO
    ]


def stopped(found: Mapping[int, Sequence[Hold]]) -> list[Stopped]:
    """Open holds counted by what they speak of, the most first."""
    holds: Counter[Obligation] = Counter()
    jobs: dict[Obligation, set[int]] = defaultdict(set)
    for job_id, open_holds in found.items():
        for hold in open_holds:
            column = obligation_of(hold.rule)
            holds[column] += 1
            jobs[column].add(job_id)
    return [
        Stopped(column, count, len(jobs[column]))
        for column, count in holds.most_common()
    ]


def to_chase(jobs: Sequence[Job], today: date) -> list[Chase]:
    """Approvals that wait on us or are past the day they were likely back. Two queries."""
    open_views = [
        view for view in approvals_on(today, jobs) if not view.standing.lets_work_start
    ]
    found = [_chase(view, today) for view in open_views]
    return sorted(found, key=_chase_order)


def _chase(view: ApprovalView, today: date) -> Chase:
    expected = view.approval.expected_on
    usual = view.approval.kind.usual_days
    waited = (today - view.last.happened_on).days if view.last else None
    overdue = view.standing is Standing.LODGED and (
        (expected is not None and expected <= today)
        or (waited is not None and waited > usual)
    )
    return Chase(view, waited, overdue)


def _chase_order(chase: Chase) -> tuple[int, int]:
    ranks = {
        Standing.WAITING_ON_US: 0,
        Standing.REFUSED: 1,
        Standing.WITHDRAWN: 1,
        Standing.EXPIRED: 1,
        Standing.LODGED: 2 if chase.overdue else 4,
        Standing.NOT_LODGED: 3,
    }
    return ranks.get(chase.view.standing, 5), -(chase.days_waiting or 0)


def loads_due(jobs: Iterable[Job], today: date) -> list[Delivery]:
    """Loads that are late or come in the next days and are not checked in. One query."""
    rows = Delivery.objects.filter(
        job__in=list(jobs),
        cancelled_at__isnull=True,
        receipts__isnull=True,
        due_on__lte=today + DELIVERIES_AHEAD,
    ).select_related("job", "supplier")
    return list(rows.order_by("due_on", "due_half", "pk"))


def led_today(person: Person, today: date) -> list[Job]:
    """Jobs booked today that this person leads, or whose crew they lead. One query."""
    jobs = Job.objects.filter(
        Q(site_lead=person) | Q(visits__booking__crew__lead=person),
        visits__booking__cancelled_at__isnull=True,
        visits__booking__crew_slots__day=today,
        closed_at__isnull=True,
    )
    return list(jobs.select_related("client", "site", "site_lead").distinct())


def my_days(person: Person, today: date) -> list[MyDay]:
    """The days this person is booked in the next two weeks, in order. One query."""
    slots = PersonSlot.objects.filter(
        person=person,
        booking__cancelled_at__isnull=True,
        day__range=(today, today + AHEAD),
    ).select_related("booking__crew", "booking__visit__job__site")
    halves: dict[tuple[date, Job, str], list[str]] = defaultdict(list)
    for slot in slots.order_by("day", "half"):
        job = slot.booking.visit.job
        halves[slot.day, job, slot.booking.crew.name].append(slot.get_half_display())
    return [
        MyDay(day, job, tuple(words), crew)
        for (day, job, crew), words in halves.items()
    ]


def to_sign(
    person: Person, days: Iterable[MyDay], led: Iterable[Job]
) -> list[Statement]:
    """Statements in force that this person works under soon and has not signed. Two queries."""
    jobs = {day.job.pk for day in days} | {job.pk for job in led}
    signed = SignOn.objects.filter(person=person).values("statement")
    return list(
        Statement.objects.filter(job__in=jobs, state=Statement.State.ISSUED)
        .exclude(pk__in=signed)
        .defer("content")
        .select_related("job__site")
        .order_by("job__number")
    )
