"""How the steps of a job are cut into working days."""

from datetime import date

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from safety.domain.exposures.days import (
    BookedVisit,
    Hours,
    Room,
    booked_days,
    planned_days,
)
from tests.safety.domain.jobs import task

MONDAY, TUESDAY = date(2026, 8, 10), date(2026, 8, 11)


def step(key, minutes, **changes):
    return task(key, person_minutes=minutes, **changes)


def told(days):
    return [[(p.task.key, round(p.share, 2)) for p in day.parts] for day in days]


def test_steps_fill_days_in_the_order_of_the_work():
    # two people: 450 minutes of work are 900 person-minutes
    steps = (
        step("a", 500.0),
        step("b", 800.0, position=2),
        step("c", 100.0, position=3),
    )
    days = planned_days(reversed(steps))
    assert told(days) == [[("a", 1.0), ("b", 0.5)], [("b", 0.5), ("c", 1.0)]]
    assert [day.number for day in days] == [1, 2]
    assert [day.people for day in days] == [2, 2]
    assert days[0].has("b")
    assert not days[0].has("c")


def test_a_cure_parts_days_and_a_short_wait_does_not():
    first = step("pour", 100.0)
    for hours, days in ((24.0, 2), (1.0, 1)):
        then = step("stand", 100.0, position=2, after=("pour",), wait_hours=hours)
        assert len(planned_days((first, then))) == days


def test_another_trade_comes_on_a_day_of_its_own():
    steps = (
        step("frame", 100.0),
        step("electrical", 60.0, position=2, after=("frame",)),
        step("sheets", 100.0, position=3, after=("electrical",)),
    )
    assert told(planned_days(steps)) == [
        [("frame", 1.0)],
        [("electrical", 1.0)],
        [("sheets", 1.0)],
    ]


def test_no_more_people_are_at_a_step_than_it_has_room_for():
    few = step("a", 200.0, crew_min=1, crew_max=1)
    many = step("b", 300.0, position=2, crew_min=3)
    (day,) = planned_days((few, many))
    assert [(part.people, part.minutes) for part in day.parts] == [(1, 200), (3, 100)]


def test_links_that_lead_nowhere_or_in_a_loop_do_no_harm():
    steps = (
        step("a", 100.0, after=("b", "gone")),
        step("b", 100.0, position=2, after=("a",)),
    )
    assert told(planned_days(steps)) == [[("a", 1.0), ("b", 1.0)]]


def test_a_firm_with_longer_days_does_more_on_each():
    work = step("a", 1000.0)
    assert len(planned_days([work])) == 2
    assert len(planned_days([work], Hours(work_minutes=600.0))) == 1


def test_no_steps_no_days():
    assert planned_days(()) == ()


def test_booked_days_have_their_dates_people_and_halves():
    steps = (step("a", 450.0), step("b", 900.0, position=2))
    rooms = (Room(225.0, 2, MONDAY), Room(450.0, 3, TUESDAY))
    days = booked_days(steps, [BookedVisit(frozenset({"a", "b"}), rooms)])
    assert [(day.on, day.people) for day in days] == [(MONDAY, 2), (TUESDAY, 3)]
    assert told(days) == [[("a", 1.0)], [("b", 1.0)]]


def test_what_the_booking_has_no_room_for_is_done_on_its_last_day():
    steps = (step("a", 900.0), step("b", 900.0, position=2))
    rooms = (Room(225.0, 2, MONDAY), Room(225.0, 2, TUESDAY))
    days = booked_days(steps, [BookedVisit(frozenset({"a", "b"}), rooms)])
    assert told(days) == [[("a", 0.5)], [("a", 0.5), ("b", 1.0)]]


def test_two_visits_on_one_date_are_one_day_and_the_rest_comes_after():
    steps = tuple(step(key, 100.0, position=n) for n, key in enumerate("abc", 1))
    visits = [
        BookedVisit(frozenset("a"), (Room(225.0, 2, MONDAY),)),
        BookedVisit(frozenset("b"), (Room(450.0, 3, MONDAY),)),
        BookedVisit(frozenset("c"), ()),
    ]
    day, after = booked_days(steps, visits)
    assert (day.on, day.people, day.minutes) == (MONDAY, 3, 450.0)
    assert told([day, after]) == [[("a", 1.0), ("b", 1.0)], [("c", 1.0)]]
    assert after.on is None


@settings(max_examples=60)
@given(
    minutes=st.lists(st.floats(0, 4000), min_size=1, max_size=8),
    crew=st.integers(1, 4),
    room=st.floats(30, 600),
)
def test_all_of_every_step_is_done_and_no_day_is_overfull(minutes, crew, room):
    steps = [step(f"s{n}", m, position=n, crew_min=crew) for n, m in enumerate(minutes)]
    days = planned_days(steps, Hours(work_minutes=room))
    for one in steps:
        shares = [p.share for d in days for p in d.parts if p.task.key == one.key]
        assert sum(shares) == pytest.approx(1.0)
    for day in days:
        assert sum(part.minutes for part in day.parts) <= room + 1.0
