"""Half-days, the working calendar, and waits in real time turned into slots."""

from datetime import date, datetime, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from jobs.domain.methods import LagKind
from scheduling.domain.calendar import (
    Closure,
    Half,
    HalfHours,
    Slot,
    say_day,
    working_calendar,
)

MONDAY = date(2026, 8, 3)
TWO_WEEKS = working_calendar(MONDAY, date(2026, 8, 16))


def slot(day, half=Half.AM):
    return Slot(date(2026, 8, day), half)


def test_half_days_sort_in_time():
    days = [slot(4), slot(3, Half.PM), slot(3)]
    assert sorted(days) == [slot(3), slot(3, Half.PM), slot(4)]


def test_a_half_day_reads_as_people_write_it():
    assert str(slot(3)) == "Mon 3 Aug 2026, morning"
    assert say_day(date(2026, 12, 25)) == "Fri 25 Dec 2026"


def test_weekends_are_not_in_the_calendar():
    assert len(TWO_WEEKS) == 20
    assert TWO_WEEKS.slot(10) == slot(10)


def test_holidays_and_closures_are_left_out_and_named():
    calendar = working_calendar(
        MONDAY,
        date(2026, 8, 14),
        holidays={date(2026, 8, 3): "Bank Holiday"},
        closures=[Closure(date(2026, 8, 6), date(2026, 8, 7), "stocktaking")],
    )
    assert len(calendar) == 14
    assert calendar.off[date(2026, 8, 3)] == "Bank Holiday"
    assert calendar.off[date(2026, 8, 7)] == "stocktaking"


def test_a_firm_may_work_saturday_mornings():
    week = [(day, half) for day in range(5) for half in Half] + [(5, Half.AM)]
    calendar = working_calendar(MONDAY, date(2026, 8, 16), week=week)
    assert calendar.index(slot(8)) == 10
    assert calendar.index(slot(8, Half.PM)) is None


def test_a_day_off_points_to_the_next_working_half_day():
    assert TWO_WEEKS.index_from(slot(8)) == 10
    assert TWO_WEEKS.index_after(slot(3)) == 1
    assert TWO_WEEKS.index_from(slot(30)) == len(TWO_WEEKS)


def test_a_promise_for_a_sunday_is_kept_by_friday_evening():
    assert TWO_WEEKS.end_of(date(2026, 8, 9)) == TWO_WEEKS.end_of(date(2026, 8, 7))
    assert TWO_WEEKS.end_of(date(2026, 8, 7)) == 10


@pytest.mark.parametrize(
    ("end", "hours", "first"),
    [
        (2, 24, slot(5)),  # done Mon 15:30, so not before Tue 15:30: Wed morning
        (1, 24, slot(4, Half.PM)),  # done Mon 11:00: Tue afternoon
        (10, 48, slot(10)),  # done Fri 15:30: over the weekend, Mon morning
        (10, 72, slot(11)),  # one day more than the weekend
        (1, 0.5, slot(3, Half.PM)),  # half an hour passes over lunch
        (1, 0.75, slot(4)),  # three quarters do not
        (1, 0, slot(3, Half.PM)),
    ],
)
def test_a_cure_runs_through_nights_and_weekends(end, hours, first):
    found = TWO_WEEKS.after_lag(end, hours, LagKind.CALENDAR)
    assert TWO_WEEKS.slot(found) == first


def test_working_hours_count_only_while_somebody_works():
    assert TWO_WEEKS.after_lag(10, 8, LagKind.WORKING) == 12
    assert TWO_WEEKS.after_lag(10, 9, LagKind.WORKING) == 13


def test_a_wait_beyond_the_calendar_ends_with_it():
    assert TWO_WEEKS.after_lag(19, 24 * 30, LagKind.CALENDAR) == len(TWO_WEEKS)


def test_a_slot_outside_the_calendar_is_an_error():
    with pytest.raises(IndexError, match="outside"):
        TWO_WEEKS.slot(len(TWO_WEEKS))


calendars = st.builds(
    lambda start, length, off, saturday: working_calendar(
        start,
        start + timedelta(days=length),
        week=[(day, half) for day in range(5 + saturday) for half in Half],
        holidays={start + timedelta(days=n): "off" for n in off},
    ),
    st.dates(date(2025, 1, 1), date(2027, 12, 1)),
    st.integers(0, 60),
    st.sets(st.integers(0, 60), max_size=8),
    st.integers(0, 2),
)


@given(calendars)
def test_slots_and_indices_are_two_ways_of_saying_one_thing(calendar):
    assert [calendar.index(slot) for slot in calendar.slots] == list(
        range(len(calendar))
    )
    assert list(calendar.slots) == sorted(set(calendar.slots))


@given(calendars, st.floats(0, 400), st.data())
def test_a_lag_is_the_first_start_that_waits_long_enough(calendar, hours, data):
    if not len(calendar):
        return
    end = data.draw(st.integers(1, len(calendar)))
    free = calendar.ends_at(calendar.slot(end - 1)) + timedelta(
        minutes=round(hours * 60)
    )
    first = calendar.after_lag(end, hours, LagKind.CALENDAR)
    later = [n for n, s in enumerate(calendar.slots) if calendar.starts_at(s) >= free]
    assert first == (later[0] if later else len(calendar))


@given(calendars, st.integers(0, 400), st.sampled_from(LagKind))
def test_a_table_holds_every_lag(calendar, hours, kind):
    ends = range(len(calendar) + 1)
    expected = tuple(calendar.after_lag(end, hours, kind) for end in ends)
    assert calendar.lag_table(hours, kind) == expected


def test_a_firm_sets_its_own_hours():
    hours = HalfHours()
    assert hours.minutes(Half.AM) == 240
    monday = TWO_WEEKS.slot(0)
    assert TWO_WEEKS.starts_at(monday) == datetime(2026, 8, 3, 7)
    assert TWO_WEEKS.ends_at(monday) == datetime(2026, 8, 3, 11)
