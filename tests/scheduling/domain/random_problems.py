"""Random small problems that use every kind of rule at once."""

from dataclasses import replace
from datetime import timedelta
from random import Random

from jobs.domain.methods import LagKind
from scheduling.domain.calendar import working_calendar
from scheduling.domain.problem import (
    After,
    Away,
    Crew,
    Job,
    Member,
    Person,
    Pin,
    Plant,
    PlantNeed,
    Problem,
    Published,
    Ready,
    Stop,
    Ticket,
    Visit,
)
from tests.scheduling.domain.firms import MONDAY


def random_problem(seed):
    """Up to seven jobs and three crews; some jobs may turn out to be impossible."""
    draw = Random(seed)
    holidays = {MONDAY + timedelta(days=draw.randrange(60)): "holiday" for _ in "ab"}
    calendar = working_calendar(MONDAY, MONDAY + timedelta(days=75), holidays=holidays)
    spans = _Spans(draw, calendar)
    people = tuple(_person(spans, key) for key in range(1, 9))
    crews = tuple(_crew(spans, key) for key in range(1, draw.randint(2, 4)))
    jobs = tuple(_job(spans, key) for key in range(1, draw.randint(2, 8)))
    visits = [visit for job in jobs for visit in job.visits]
    return Problem(
        calendar=calendar,
        now=calendar.slot(draw.randrange(6)),
        people=people,
        crews=crews,
        jobs=jobs,
        plant=(Plant(1, "trestles", 2, spans.some(0.3)), Plant(2, "lifter", 1)),
        travel_min={(c.key, j.key): draw.randrange(90) for c in crews for j in jobs},
        pins=tuple(_pin(spans, v, crews) for v in visits if draw.random() < 0.06),
        published=tuple(
            Published(v.key, draw.choice(crews).key, spans.slot())
            for v in visits
            if v.needs_crew and draw.random() < 0.3
        ),
        stops=tuple(
            Stop(a.first, a.last, "rain", draw.choice((None, frozenset({1, 2}))))
            for a in spans.some(0.5)
        ),
        rain_percent=(draw.choice((0, 0, 20)),) * 12,
    )


class _Spans:
    def __init__(self, draw, calendar):
        self.draw, self.calendar = draw, calendar

    def slot(self):
        return self.calendar.slot(self.draw.randrange(len(self.calendar) // 2))

    def away(self):
        first = self.draw.randrange(len(self.calendar) // 2)
        last = first + self.draw.randrange(8)
        return Away(self.calendar.slot(first), self.calendar.slot(last), "away")

    def some(self, chance):
        return (self.away(),) if self.draw.random() < chance else ()


def _person(spans, key):
    draw = spans.draw
    kinds = [kind for kind in "ab" if draw.random() < 0.8]
    ends = spans.slot().day if draw.random() < 0.2 else None
    return Person(
        key,
        f"person {key}",
        tuple(Ticket(kind, expires=ends) for kind in kinds),
        spans.some(0.3),
    )


def _crew(spans, key):
    chosen = spans.draw.sample(range(1, 9), spans.draw.randint(2, 4))
    until = spans.slot().day if spans.draw.random() < 0.1 else None
    members = tuple(Member(person) for person in chosen[1:])
    return Crew(
        key, f"crew {key}", (Member(chosen[0], until=until), *members), spans.some(0.3)
    )


def _job(spans, key):
    draw = spans.draw
    visits: list[Visit] = []
    for number in range(draw.randint(1, 4)):
        visits.append(_visit(spans, key * 10 + number, visits))
    day = spans.slot().day
    return Job(
        key,
        f"job {key}",
        tuple(visits),
        ready=(Ready(spans.slot(), "approval"),) if draw.random() < 0.5 else (),
        promised=day if draw.random() < 0.6 else None,
        wanted=day if draw.random() < 0.4 else None,
        weight=draw.randint(1, 3),
        one_crew=draw.random() < 0.8,
    )


def _visit(spans, key, before):
    draw = spans.draw
    kind = draw.choice(list(LagKind))
    after = [
        After(v.key, draw.choice((0, 3, 24, 60)), kind)
        for v in before
        if draw.random() < 0.7
    ]
    longest = draw.randint(1, 6)
    visit = Visit(
        key,
        f"visit {key}",
        {2: longest, 3: max(1, longest - 2)},
        tickets=("a",) if draw.random() < 0.2 else (),
        plant=(PlantNeed(draw.randint(1, 2)),) if draw.random() < 0.3 else (),
        after=tuple(after),
        not_begun=spans.some(0.2),
        stops_in_rain=draw.random() < 0.3,
    )
    return replace(visit, needs_crew=False) if draw.random() < 0.15 else visit


def _pin(spans, visit, crews):
    crew = spans.draw.choice((None, crews[0].key))
    return Pin(visit.key, crew, spans.draw.choice((None, spans.slot())))
