"""Forecasts beside what happened."""

from datetime import date, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from scheduling.domain.accuracy import Judged, Tally, accuracy

TODAY = date(2026, 8, 31)
HALF, MOST = date(2026, 8, 12), date(2026, 8, 20)


def judged(done=None, today=TODAY):
    return Judged(HALF, MOST, done, today)


def test_a_job_that_is_late_counts_before_it_is_done():
    found = accuracy([judged(HALF), judged(None)])
    assert (found.half.kept, found.half.known) == (1, 2)
    assert (found.most.kept, found.most.known) == (1, 2)


def test_nobody_can_know_yet():
    between = HALF + timedelta(days=2)
    found = accuracy([judged(None, today=between), judged(None, today=HALF)])
    assert (found.half.kept, found.half.known) == (0, 1)
    assert found.most.known == 0
    assert found.most.says == ""
    assert found.typical_days_off is None


def test_a_job_done_between_the_days_kept_the_second():
    found = accuracy([judged(HALF + timedelta(days=3))])
    assert (found.half.kept, found.most.kept) == (0, 1)
    assert found.typical_days_off == 3


@pytest.mark.parametrize(
    ("late", "says"),
    [
        (0, "on the very day"),
        (1, "1 day after the day"),
        (4, "4 days after the day"),
        (-1, "1 day before the day"),
    ],
)
def test_a_typical_job_is_told_in_words(late, says):
    done = judged(HALF + timedelta(days=late))
    assert accuracy([done]).typical_says == says
    assert accuracy([judged(None)]).typical_says == ""


def test_too_hopeful_and_too_careful_are_told_from_luck():
    assert Tally(0.5, 20, 3).says == "hopeful"
    assert Tally(0.5, 20, 9).says == "fair"
    assert Tally(0.5, 20, 18).says == "cautious"
    assert Tally(0.8, 4, 0).says == ""


@pytest.mark.parametrize(("share", "middle"), [(0.5, (6, 14)), (0.8, (13, 19))])
def test_the_range_of_luck_for_twenty(share, middle):
    """Quantiles 5 % and 95 % of the binomial, from tables (remembered)."""
    assert Tally(share, 20, 0).fair_range == middle


@given(st.integers(1, 60), st.sampled_from([0.5, 0.8]))
def test_the_range_of_luck_holds_the_middle(count, share):
    low, high = Tally(share, count, 0).fair_range
    assert 0 <= low <= share * count <= high <= count
