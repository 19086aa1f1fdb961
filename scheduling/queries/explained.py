"""What decides a job's date, what would bring it forward, why it cannot start on a day.

Every answer is read off the engine's rules around the published plan.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime

from jobs.models import Firm, Job
from scheduling.domain.calendar import Slot
from scheduling.domain.conflicts import along, why_out
from scheduling.domain.explain import Cause, CrewAnswer, Explainer, Help
from scheduling.domain.problem import Visit
from scheduling.domain.rules import RuleKind
from scheduling.domain.solution import Booking
from scheduling.queries.standing_plan import StandingPlan, standing_plan

NOT_WORKED = "The firm does not work then"


@dataclass(frozen=True, slots=True)
class Link:
    """One link of the chain behind a date."""

    visit: str
    job: str
    other_job: int | None  # id, where the cause lies in another job
    start: Slot
    says: str


@dataclass(frozen=True, slots=True)
class Forward:
    """One thing that would bring the job forward."""

    says: str
    needs: str
    done: Slot
    sooner: str


@dataclass(frozen=True, slots=True)
class Soonest:
    """Where one crew could do the whole job, around the plan as it is."""

    crew: str
    start: Slot
    last: Slot


@dataclass(frozen=True, slots=True)
class Answer:
    """Whether one crew could start on the half-day that was asked about."""

    crew: str
    possible: bool
    reasons: tuple[tuple[str, Slot | None], ...] = ()  # and from when each says yes


@dataclass(frozen=True, slots=True)
class Explained:
    """The answers about one job."""

    plan: StandingPlan
    first_visit: Visit | None
    lies: tuple[Booking, ...]
    chain: tuple[Link, ...] = ()
    forward: tuple[Forward, ...] = ()
    soonest: tuple[Soonest, ...] = ()
    conflict: tuple[str, ...] = ()
    not_booked: tuple[str, ...] = ()  # names of its visits

    @property
    def last(self) -> Slot | None:
        """The last half-day of the job in the plan; None when it is not all booked."""
        if self.not_booked or not self.lies:
            return None
        return max(row.last for row in self.lies)


def explained(job: Job, firm: Firm, at: datetime) -> Explained:
    """Everything that can be said about the job's date. A fixed number of queries."""
    plan = standing_plan(job, firm, at)
    asked = plan.asked(job.pk)
    if asked is None:
        return Explained(plan, None, ())
    explainer = Explainer(plan.problem, plan.bookings)
    lies = tuple(plan.lies(job.pk))
    placed = {row.visit for row in lies}
    missing = tuple(visit.name for visit in asked.visits if visit.key not in placed)
    soonest, conflict = _around(explainer, job.pk) if missing else ((), ())
    return Explained(
        plan=plan,
        first_visit=asked.visits[0],
        lies=lies,
        chain=tuple(_link(plan, job, cause) for cause in explainer.decides(job.pk)),
        forward=tuple(_forward(offer) for offer in explainer.helps(job.pk)),
        soonest=soonest,
        conflict=conflict,
        not_booked=missing,
    )


def why_not(
    plan: StandingPlan, job: Job, start: Slot, crew_id: int | None
) -> list[Answer]:
    """Whether the job could start there: for one crew, or for each. No queries."""
    closed = _not_worked(plan, start)
    if closed:
        return [Answer("", possible=False, reasons=((closed, None),))]
    answers = Explainer(plan.problem, plan.bookings).why_not(job.pk, start)
    names = {crew.key: crew.name for crew in plan.problem.crews}
    return [
        _answer(names, answer)
        for answer in answers
        if answer.crew is None or crew_id in {None, answer.crew}
    ]


def _not_worked(plan: StandingPlan, start: Slot) -> str:
    calendar = plan.problem.calendar
    if calendar.index(start) is not None:
        return ""
    if start < plan.problem.now:
        return f"{start} is over. Choose a later day."
    if start.day > calendar.last:
        return "That is further ahead than plans reach. Choose a day within a year."
    return f"{calendar.off.get(start.day, NOT_WORKED)}. Choose a working day."


def _answer(names: dict[int, str], answer: CrewAnswer) -> Answer:
    return Answer(
        crew="" if answer.crew is None else names[answer.crew],
        possible=answer.possible,
        reasons=tuple((no.says, no.yes_from) for no in answer.refusals),
    )


def _link(plan: StandingPlan, job: Job, cause: Cause) -> Link:
    asked = plan.asked(cause.job)
    assert asked is not None
    name = next(visit.name for visit in asked.visits if visit.key == cause.visit)
    other = None if cause.job == job.pk else cause.job
    return Link(name, asked.name, other, cause.start, cause.says)


def _forward(offer: Help) -> Forward:
    return Forward(
        says=offer.says,
        needs=_needs(offer),
        done=offer.done,
        sooner=f"{days_in_words(offer.half_days_sooner)} sooner",
    )


def _needs(offer: Help) -> str:
    """What would have to be so, by when, for the job to gain that much."""
    by = f"by {offer.needed_by}"
    return {
        RuleKind.READY: f"If that is there {by}",
        RuleKind.BOOKED: f"If the crew is free {by}",
        RuleKind.AWAY: f"If the crew is there {by}",
        RuleKind.PEOPLE: f"With enough people {by}",
        RuleKind.TICKET: f"With that ticket in the crew {by}",
        RuleKind.PLANT: f"With that plant free {by}",
        RuleKind.PIN: f"If it may move to {offer.needed_by}",
        RuleKind.SAME_CREW: f"With that crew, from {offer.needed_by}",
    }.get(offer.kind, f"If that changes {by}")


def days_in_words(halves: int) -> str:
    """ "half a day", "1 day", "2½ days": working days."""
    days, half = divmod(halves, 2)
    if not days:
        return "half a day"
    return f"{days}{'½' if half else ''} day{'s' if days > 1 or half else ''}"


def _around(
    explainer: Explainer, job_id: int
) -> tuple[tuple[Soonest, ...], tuple[str, ...]]:
    """Where the job could lie, soonest end first; or what contradicts what."""
    book, index = explainer.book, explainer.jobs[job_id]
    with book.without(index):
        found = sorted(_soonest(explainer, index), key=lambda one: (one.last, one.crew))
        return tuple(found), () if found else why_out(book, index)


def _soonest(explainer: Explainer, index: int) -> Iterator[Soonest]:
    book, calendar = explainer.book, explainer.problem.calendar
    for crew, record in enumerate(explainer.problem.crews):
        spots, stuck = along(book, index, crew)
        if stuck is None:
            yield Soonest(
                crew=record.name,
                start=calendar.slot(min(spot[2] for spot in spots)),
                last=calendar.slot(max(spot[2] + spot[3] for spot in spots) - 1),
            )
