"""What booking a visit at a place would break, rule by rule, in words."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime

from jobs.models import Firm, Job
from scheduling.domain.abilities import Abilities
from scheduling.domain.calendar import Slot, say_day
from scheduling.domain.problem import After, Problem
from scheduling.domain.problem import Visit as VisitAsked
from scheduling.models import Booking, Crew, Visit
from scheduling.queries.placing import Placing
from scheduling.queries.plant_use import plant_short
from scheduling.queries.problem import load_problem
from scheduling.queries.slots import end_of, start_of


@dataclass(frozen=True, slots=True)
class _Question:
    """A visit put at a place, and what is known around it."""

    visit: Visit
    crew: Crew
    there: Placing
    asked: VisitAsked
    problem: Problem
    others: Mapping[int, Booking]  # live bookings of the job's other visits, by visit


def broken_by(
    visit: Visit, crew: Crew, there: Placing, firm: Firm, at: datetime
) -> tuple[str, ...]:
    """Every rule that the place breaks. None of them makes it impossible.

    Half-days that are taken or not worked are refused elsewhere. The queries of loading
    the job's problem and of the plant in use, and one.
    """
    job = Job.objects.select_related("site").get(pk=visit.job_id)
    loaded = load_problem([job], firm, at)
    asked = {v.key: v for one in loaded.problem.jobs for v in one.visits}
    if visit.pk not in asked:
        return ()
    question = _Question(
        visit, crew, there, asked[visit.pk], loaded.problem, _others(visit)
    )
    return (
        *_too_soon(question),
        *_order(question, tuple(asked.values())),
        *_pinned(question),
        *_people(question),
        *plant_short(visit, there, at),
        *_continuity(question),
        *_promise(question, job),
    )


def _others(visit: Visit) -> Mapping[int, Booking]:
    rows = Booking.objects.filter(
        visit__job=visit.job_id,
        visit__dropped_at__isnull=True,
        cancelled_at__isnull=True,
    ).exclude(visit=visit)
    return {row.visit_id: row for row in rows.select_related("crew", "visit")}


def _too_soon(question: _Question) -> Iterator[str]:
    for ready in question.asked.ready:
        if ready.first > question.there.start:
            yield f"Not before {ready.first}: {ready.why}."


def _order(question: _Question, every: Sequence[VisitAsked]) -> Iterator[str]:
    for after in question.asked.after:
        before = question.others.get(after.visit)
        if before is None:
            yield "A visit that comes before this one is not booked."
        elif (
            _first_after(question.problem, end_of(before), after) > question.there.start
        ):
            yield f"{_wait(after)} after “{before.visit.name}”, {end_of(before)}."
    for later in every:
        for after in later.after:
            booking = question.others.get(later.key)
            if after.visit != question.visit.pk or booking is None:
                continue
            first = _first_after(question.problem, question.there.last, after)
            if first > start_of(booking):
                yield f"“{booking.visit.name}” begins too soon after it, {start_of(booking)}."


def _wait(after: After) -> str:
    if not after.lag_hours:
        return "It would begin too soon"
    why = f" ({after.why})" if after.why else ""
    return (
        f"It would begin before {max(1, round(after.lag_hours))} hours have passed{why}"
    )


def _first_after(problem: Problem, last: Slot, after: After) -> Slot:
    """The first half-day that may be worked after a visit and its wait."""
    calendar = problem.calendar
    end = calendar.index_after(last)
    index = calendar.after_lag(end, after.lag_hours, after.lag_kind)
    return calendar.slot(min(index, len(calendar) - 1))


def _people(question: _Question) -> Iterator[str]:
    team = Abilities(question.problem).teams.get(question.crew.pk)
    if team is None:
        return
    calendar, there = question.problem.calendar, question.there
    slots = range(calendar.index_from(there.start), calendar.index_after(there.last))
    fewest = min(question.asked.halves)
    enough = team.at_least[fewest] if fewest < len(team.at_least) else 0
    short = _first_missing(enough, slots)
    if short is not None:
        day = say_day(calendar.slot(short).day)
        yield f"{question.crew} has fewer than {fewest} people on {day}."
    for kind in question.asked.tickets:
        missing = _first_missing(team.holders.get(kind, 0), slots)
        if missing is not None:
            day = say_day(calendar.slot(missing).day)
            yield f"Nobody in {question.crew} holds “{kind}” on {day}."


def _pinned(question: _Question) -> Iterator[str]:
    """Somebody fixed it where it is. Moving it by hand is for them to agree to."""
    booking: Booking | None = getattr(question.visit, "booking", None)
    if booking is None or booking.cancelled_at is not None or not booking.is_pinned:
        return
    here = (booking.crew_id, start_of(booking))
    if here != (question.crew.pk, question.there.start):
        yield f"Somebody pinned it to {start_of(booking)}, {booking.crew}."


def _first_missing(mask: int, slots: range) -> int | None:
    return next((slot for slot in slots if not mask >> slot & 1), None)


def _continuity(question: _Question) -> Iterator[str]:
    crews = {b.crew for b in question.others.values() if b.crew_id != question.crew.pk}
    for crew in sorted(crews, key=str):
        yield f"{crew} does another visit of this job; one crew should see it through."


def _promise(question: _Question, job: Job) -> Iterator[str]:
    last = question.there.last.day
    if job.promised_on is not None and last > job.promised_on:
        yield f"The job was promised by {say_day(job.promised_on)}."
