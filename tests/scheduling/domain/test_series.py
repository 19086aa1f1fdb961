"""Days as one series: played back it is the same days."""

from datetime import date, datetime, time, timedelta

from hypothesis import given
from hypothesis import strategies as st

from scheduling.domain.series import Span, series

MONDAY = date(2026, 8, 3)
MORNING, DAY, AFTERNOON = (
    (time(7), time(11)),
    (time(7), time(15, 30)),
    (time(11, 30), time(15, 30)),
)


def span(day, hours=DAY):
    starts, ends = (datetime.combine(MONDAY + timedelta(days=day), at) for at in hours)
    return Span(starts, ends)


def played(found):
    """The days of a series, as RFC 5545 has a reader play it."""
    length = found.first.ends - found.first.starts
    moved = dict(found.moved)
    places = [found.first.starts + timedelta(days=n) for n in range(found.count)]
    assert set(moved) <= set(places)
    return [
        moved.get(place, Span(place, place + length))
        for place in places
        if place not in found.left_out
    ]


def test_one_day_is_no_series():
    found = series([span(0, AFTERNOON)])
    assert (found.first, found.count) == (span(0, AFTERNOON), 1)
    assert (found.left_out, found.moved) == ((), ())


def test_a_weekend_is_left_out_and_half_days_are_moved():
    found = series([span(3, AFTERNOON), span(4), span(7), span(8, MORNING)])
    assert found.first == span(3)
    assert [day.date().day for day in found.left_out] == [8, 9]
    assert found.moved == (
        (span(3).starts, span(3, AFTERNOON)),
        (span(8).starts, span(8, MORNING)),
    )


@given(
    st.dictionaries(
        st.integers(0, 30), st.sampled_from([MORNING, DAY, AFTERNOON]), min_size=1
    )
)
def test_played_back_it_is_the_same_days(hours):
    spans = [span(day, hours[day]) for day in sorted(hours)]
    assert played(series(spans)) == spans
