"""What the first page shows: what stops what, what to chase, what comes next."""

from collections import Counter, defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta

from django.db.models import F, Q

from jobs.domain.holds import Hold
from jobs.domain.roles import Role
from jobs.models import Job, Person
from safety.domain.obligations import CHECK_NO_GO, Obligation, obligation_of
from safety.models import SignOn, Statement
from scheduling.models import CrewSlot, Delivery, PersonSlot
from scheduling.queries.called_off import called_off, last_published

SHOWN = 12  # held jobs on the first page; the list of jobs has the rest
AHEAD = timedelta(days=14)
DELIVERIES_AHEAD = timedelta(days=7)
_ORDER = (Role.OFFICE, Role.SITE_LEAD, Role.CREW, Role.OWNER)


@dataclass(frozen=True, slots=True)
class HeldJob:
    """A job and all that holds it, what stops all work first."""

    job: Job
    holds: tuple[Hold, ...]
    next_day: date | None  # booked, today included
    no_go: bool  # the site lead said no go today


@dataclass(frozen=True, slots=True)
class Share:
    """How many holds one kind of person can clear, in how many jobs."""

    role: Role
    holds: int
    jobs: int


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
    called_off: str = ""  # why, when it is off
    awaits_plan: bool = False  # and nobody published a plan since it was called off


def next_days(jobs: Iterable[Job], today: date) -> dict[int, date]:
    """The next booked day of each job, today included. One query."""
    rows = CrewSlot.objects.filter(
        booking__visit__job__in=list(jobs),
        booking__cancelled_at__isnull=True,
        day__gte=today,
    ).order_by("-day")
    return dict(rows.values_list(F("booking__visit__job"), "day"))


def held_jobs(
    found: Mapping[int, Sequence[Hold]], jobs: Iterable[Job], days: Mapping[int, date]
) -> list[HeldJob]:
    """Jobs with open holds: a no go today first, then the job that is booked soonest.

    What is not booked comes after, by the day it is promised or wanted.
    """
    held = [_held(job, found[job.pk], days) for job in jobs if found[job.pk]]
    return sorted(held, key=_urgency)


def _held(job: Job, open_holds: Sequence[Hold], days: Mapping[int, date]) -> HeldJob:
    return HeldJob(
        job=job,
        holds=tuple(sorted(open_holds, key=_weight)),
        next_day=days.get(job.pk),
        no_go=any(hold.rule == CHECK_NO_GO for hold in open_holds),
    )


def _weight(hold: Hold) -> tuple[bool, int]:
    return not hold.stops_work(), _ORDER.index(_clearer(hold))


def _urgency(held: HeldJob) -> tuple[bool, date, date, int]:
    due = held.job.promised_on or held.job.wanted_on or date.max
    return not held.no_go, held.next_day or date.max, due, held.job.number


def shares(found: Mapping[int, Sequence[Hold]]) -> list[Share]:
    """Open holds counted by who can clear them; each counts once, the office first."""
    jobs: dict[Role, list[int]] = defaultdict(list)
    for open_holds in found.values():
        for hold in open_holds:
            jobs[_clearer(hold)].append(hold.job_id)
    return [
        Share(role, len(jobs[role]), len(set(jobs[role])))
        for role in _ORDER
        if role in jobs
    ]


def _clearer(hold: Hold) -> Role:
    return next((role for role in _ORDER if role in hold.cleared_by), Role.OFFICE)


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


def my_days(person: Person, today: date, at: datetime) -> list[MyDay]:
    """The days this person is booked in the next two weeks, in order. Three queries."""
    last = today + AHEAD
    slots = PersonSlot.objects.filter(
        person=person,
        booking__cancelled_at__isnull=True,
        day__range=(today, last),
    ).select_related(
        "booking__crew",
        "booking__visit__job__site",
        "booking__visit__job__client",
        "booking__visit__job__site_lead",
    )
    halves: dict[tuple[date, Job, str], list[str]] = defaultdict(list)
    for slot in slots.order_by("day", "half"):
        job = slot.booking.visit.job
        halves[slot.day, job, slot.booking.crew.name].append(slot.get_half_display())
    off, published = called_off(today, last, at), last_published()
    days = []
    for (day, job, crew), words in halves.items():
        lost = off.of(job.pk, day)
        waits = lost is not None and (published is None or published < lost.recorded_at)
        why = lost.reason.rstrip(".") if lost else ""
        days.append(MyDay(day, job, tuple(words), crew, why, awaits_plan=waits))
    return days


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
