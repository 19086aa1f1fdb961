"""Small firms to plan for, built by hand so that the answer is known."""

from datetime import date

from scheduling.domain.calendar import Half, Slot, working_calendar
from scheduling.domain.problem import Crew, Job, Member, Person, Problem, Visit

MONDAY = date(2026, 8, 3)
FRIDAY = date(2026, 8, 28)


def am(day, month=8):
    return Slot(date(2026, month, day), Half.AM)


def pm(day, month=8):
    return Slot(date(2026, month, day), Half.PM)


def visit(key, halves=4, **more):
    """A visit for two people, or one that three do faster when ``halves`` is a dict."""
    by_size = halves if isinstance(halves, dict) else {2: halves}
    return Visit(key=key, name=f"visit {key}", halves=by_size, **more)


def job(key, *visits, **more):
    return Job(key=key, name=f"job {key}", visits=visits, **more)


def people(count, **more):
    return tuple(Person(key, f"person {key}", **more) for key in range(1, count + 1))


def crew(key, *members, **more):
    return Crew(key, f"crew {key}", tuple(Member(person) for person in members), **more)


def firm(*jobs, crews=None, staff=None, **more):
    """Four weeks from Mon 3 Aug 2026, one crew of two people unless said."""
    return Problem(
        calendar=more.pop("calendar", working_calendar(MONDAY, FRIDAY)),
        now=more.pop("now", am(3)),
        people=staff or people(4),
        crews=crews or (crew(1, 1, 2),),
        jobs=jobs,
        **more,
    )


def starts(solution):
    """Start of every visit by its key."""
    return {booking.visit: booking.start for booking in solution.bookings}
