"""What the office is told before it books, against a checker written apart from it."""

from datetime import date

import pytest

from jobs.services.people import withdraw_ticket
from scheduling.domain.checker import violations
from scheduling.domain.solution import Booking
from scheduling.queries.broken import broken_by
from scheduling.queries.placing import placing
from scheduling.queries.problem import load_problem
from scheduling.queries.slots import end_of, start_of
from scheduling.services.absences import record_absence
from scheduling.services.bookings import book_visit
from scheduling.services.visits import sync_visits
from tests.scheduling.plans import slot

TUESDAY, WEDNESDAY, MONDAY = date(2026, 8, 4), date(2026, 8, 5), date(2026, 8, 10)


@pytest.fixture
def second(job, delivery, blue, red, kim, oscar, now):
    """The second visit: it waits for the first, a cure, and sheets on Wednesday."""
    first, second = sync_visits(job=job, actor=oscar, at=now)
    book_visit(
        visit=first,
        crew=blue,
        start=slot(TUESDAY),
        pinned=False,
        accept=True,
        actor=oscar,
        at=now,
    )
    record_absence(
        person=kim, from_on=MONDAY, to_on=MONDAY, reason="Leave", actor=oscar, at=now
    )
    return second


def booked(visit, crew, start, last, problem):
    slots = [s for s in problem.calendar.slots if start <= s <= last]
    return Booking(
        visit=visit.pk,
        job=visit.job_id,
        crew=crew.pk,
        start=start,
        last=last,
        halves=len(slots),
        tentative=False,
        why="",
    )


def test_both_say_no_to_the_same_places(job, second, blue, red, cam, firm, oscar, now):
    withdraw_ticket(ticket=cam.tickets.get(), actor=oscar, at=now)
    problem = load_problem([job], firm, now).problem
    (first,) = [visit.booking for visit in job.visits.filter(booking__isnull=False)]
    before = booked(first.visit, blue, start_of(first), end_of(first), problem)
    tried = {True: 0, False: 0}
    alone = set(violations(problem, [before]))
    for crew in (blue, red):
        for start in problem.calendar.slots[1:20]:
            there = placing(second, crew, start, firm, now)
            if there.refusals:
                continue
            said = broken_by(second, crew, there, firm, now)
            both = [before, booked(second, crew, start, there.last, problem)]
            found = [v for v in violations(problem, both) if v not in alone]
            assert bool(said) == bool(found), (crew, start, said, found)
            tried[bool(said)] += 1
    assert min(tried.values()) > 2
