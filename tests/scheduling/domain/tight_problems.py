"""One job whose visits may go side by side, in a firm with hardly any room for it."""

from datetime import timedelta
from random import Random

from scheduling.domain.calendar import working_calendar
from scheduling.domain.problem import (
    After,
    Away,
    Crew,
    Job,
    Member,
    Person,
    Plant,
    PlantNeed,
    Problem,
    Ready,
    Ticket,
    Visit,
)
from tests.scheduling.domain.firms import MONDAY


def tight_problem(seed):
    """Three to five visits with few links, a crew that comes and goes, two weeks."""
    draw = Random(f"tight {seed}")
    calendar = working_calendar(MONDAY, MONDAY + timedelta(days=17))
    some = _Some(draw, calendar)
    people = tuple(
        Person(key, f"person {key}", some.tickets(), some.away(0.5))
        for key in (1, 2, 3)
    )
    visits: list[Visit] = []
    for key in range(draw.randint(3, 5)):
        visits.append(_visit(some, key, visits))
    return Problem(
        calendar=calendar,
        now=calendar.slot(0),
        people=people,
        crews=(Crew(1, "crew 1", tuple(map(Member, (1, 2, 3))), some.away(0.5)),),
        jobs=(Job(1, "job 1", tuple(visits)),),
        plant=(Plant(1, "trestles", 2, some.away(0.5)),),
    )


class _Some:
    def __init__(self, draw, calendar):
        self.draw, self.calendar = draw, calendar

    def slot(self):
        return self.calendar.slot(self.draw.randrange(len(self.calendar)))

    def away(self, chance):
        first, last = sorted((self.slot(), self.slot()))
        return (Away(first, last, "away"),) if self.draw.random() < chance else ()

    def tickets(self):
        return (Ticket("a", expires=self.slot().day),)


def _visit(some, key, before):
    draw = some.draw
    longest = draw.randint(1, 5)
    return Visit(
        key,
        f"visit {key}",
        {2: longest, 3: max(1, longest - 2)},
        tickets=("a",) if draw.random() < 0.3 else (),
        plant=(PlantNeed(1, draw.randint(1, 2)),) if draw.random() < 0.3 else (),
        ready=(Ready(some.slot(), "material"),) if draw.random() < 0.3 else (),
        after=tuple(After(row.key) for row in before if draw.random() < 0.3),
        needs_crew=draw.random() < 0.8,
    )
