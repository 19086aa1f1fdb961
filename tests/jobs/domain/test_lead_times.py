"""When an application is likely back: reckoned from waits over and waits going on."""

from datetime import date, timedelta

import pytest

from jobs.domain.approvals import Event, Step
from jobs.domain.lead_times import lead_times, likely_range, waits_in
from jobs.domain.survival import Wait

TODAY = date(2026, 8, 3)
START = TODAY - timedelta(days=10)


def events(*steps):
    """Steps of (step, days ago)."""
    return [Event(step, TODAY - timedelta(days=ago)) for step, ago in steps]


def over(*days):
    return [Wait(n, over=True) for n in days]


def out(*days):
    return [Wait(n, over=False) for n in days]


def back(waits=(), told=None, steps=((Step.LODGED, 10),), usual=14):
    return likely_range(
        TODAY,
        events=events(*steps),
        expected_on=told,
        times=lead_times(usual, waits),
    )


def test_a_wait_leaves_out_the_days_that_waited_on_us():
    steps = (
        (Step.LODGED, 30),
        (Step.ASKED, 20),
        (Step.ANSWERED, 15),
        (Step.GRANTED, 5),
    )
    assert waits_in(events(*steps), TODAY) == over(20)
    assert waits_in(events((Step.LODGED, 30)), TODAY) == out(30)


def test_each_application_waits_on_its_own():
    steps = ((Step.LODGED, 90), (Step.REFUSED, 60), (Step.LODGED, 50))
    assert waits_in(events(*steps), TODAY) == [*over(30), *out(50)]
    taken_back = ((Step.LODGED, 90), (Step.WITHDRAWN, 70))
    assert waits_in(events(*taken_back), TODAY) == out(20)


def test_a_wait_is_followed_until_its_job_is_closed():
    steps = events((Step.LODGED, 90))
    assert waits_in(steps, TODAY, TODAY - timedelta(days=80)) == out(10)
    assert waits_in(steps, TODAY, TODAY - timedelta(days=95)) == []


def test_without_own_waits_the_rule_of_thumb_stands():
    found = back(steps=((Step.LODGED, 0),))
    assert (found.likely - TODAY).days == 14
    assert (found.latest - TODAY).days == 21
    assert (found.back, found.waiting) == (0, 0)


def test_own_waits_take_over():
    found = back(over(*[30] * 40))
    assert (found.likely - START).days == 30
    assert (found.back, found.waiting) == (40, 0)


def test_those_still_out_make_it_later():
    hopeful = back(over(10, 11, 12, 13, 14))
    honest = back(over(10, 11, 12, 13, 14) + out(25, 30, 35, 40))
    assert honest.latest > hopeful.latest
    assert honest.waiting == 4


def test_what_has_waited_long_is_compared_with_what_waited_as_long():
    waits = over(*[8] * 15, *[30] * 5)
    fresh = back(waits, steps=((Step.LODGED, 0),))
    waited = back(waits, steps=((Step.LODGED, 20),))
    assert (fresh.likely - TODAY).days == 8
    assert (waited.likely - TODAY).days == 10


def test_what_they_told_us_wins_while_it_lies_ahead():
    ahead = TODAY + timedelta(days=4)
    assert back(told=ahead).likely == ahead
    assert back(told=TODAY - timedelta(days=1)).told is False


@pytest.mark.parametrize("ago", [0, 10, 300, 5000])
def test_it_is_never_back_before_tomorrow(ago):
    found = back(steps=((Step.LODGED, ago),))
    assert TODAY < found.earliest <= found.likely <= found.latest


def test_it_is_overdue_once_it_takes_longer_than_four_in_five():
    assert back(over(*[14] * 20), steps=((Step.LODGED, 22),)).overdue
    assert not back(over(*[40] * 20), steps=((Step.LODGED, 22),)).overdue


def test_what_is_late_does_not_stretch_what_counts_as_late():
    assert back(out(*[60] * 9), steps=((Step.LODGED, 22),)).overdue


def test_it_is_overdue_once_the_day_they_gave_is_past():
    assert back(told=TODAY - timedelta(days=1)).overdue
    assert not back(told=TODAY + timedelta(days=1)).overdue


def test_what_waits_on_us_is_not_overdue_with_them():
    steps = ((Step.LODGED, 90), (Step.ASKED, 1))
    assert not back(steps=steps).overdue


def test_what_is_not_lodged_is_not_awaited():
    assert back(steps=()) is None
    assert back(steps=((Step.LODGED, 9), (Step.REFUSED, 1))) is None
