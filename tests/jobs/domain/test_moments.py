"""When a thing on site happened, by a phone whose clock may be wrong."""

from datetime import UTC, datetime, timedelta

import pytest

from jobs.domain.moments import first_sent_at, happened_at
from jobs.domain.refusals import Refused

NOW = datetime(2026, 8, 3, 4, 0, tzinfo=UTC)
HOUR = timedelta(hours=1)


@pytest.mark.parametrize("wrong_by", [timedelta(), 5 * HOUR, -5 * HOUR])
def test_a_wrong_clock_moves_nothing_to_another_hour(wrong_by):
    clock = NOW + wrong_by
    assert first_sent_at(clock - 3 * HOUR, clock, NOW) == NOW - 3 * HOUR


def test_what_got_through_at_once_was_sent_now():
    assert first_sent_at(NOW, NOW + timedelta(seconds=59), NOW) is None
    assert first_sent_at(NOW, NOW + timedelta(seconds=60), NOW) is not None


def test_without_a_script_the_server_knows_the_time():
    assert first_sent_at(None, None, NOW) is None
    assert first_sent_at(NOW, None, NOW) is None


def test_a_clock_set_back_in_between_counts_for_nothing():
    assert first_sent_at(NOW, NOW - HOUR, NOW) is None


def test_nothing_happens_later_than_now():
    assert happened_at(NOW + HOUR, NOW) == NOW
    assert happened_at(None, NOW) == NOW


def test_a_form_is_kept_for_a_month_and_no_longer():
    month = timedelta(days=31)
    assert happened_at(NOW - month, NOW) == NOW - month
    with pytest.raises(Refused, match="Set its clock"):
        happened_at(NOW - month - HOUR, NOW)
