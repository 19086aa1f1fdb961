"""Each day of the ledger is closed with one root, and verified."""

from datetime import UTC, date, datetime, timedelta

import pytest
from django.core.management import call_command
from django.db import connection

from jobs import ledger
from jobs.domain.refusals import Refused
from jobs.models import LedgerDay
from jobs.services.ledger_days import broken_days, close_days
from jobs.tasks import close_ledger_day
from tests.jobs.test_ledger import say, without_guard


@pytest.fixture
def two_days(oscar, now):
    """Two entries on one day and one on the next."""
    for at in (now, now + timedelta(hours=1), now + timedelta(days=1)):
        say(oscar, at)
    return oscar


def test_days_that_are_over_are_closed(two_days, now):
    closed = close_days(at=now + timedelta(days=2, hours=1))
    assert [(row.day, row.entries) for row in closed] == [
        (date(2026, 8, 3), 2),
        (date(2026, 8, 4), 1),
    ]
    assert list(broken_days()) == []


def test_a_day_that_runs_stays_open(two_days, now):
    assert close_days(at=now + timedelta(hours=23)) == []
    just_after = datetime(2026, 8, 4, 0, 10, tzinfo=UTC)
    assert close_days(at=just_after) == []


def test_closing_again_does_nothing(two_days, now):
    at = now + timedelta(days=3)
    close_days(at=at)
    assert close_days(at=at) == []
    assert LedgerDay.objects.count() == 2


def test_the_task_does_it(two_days):
    assert close_ledger_day() == 2  # the test's days are long over


def test_nothing_is_slipped_into_a_closed_day(two_days, now):
    close_days(at=now + timedelta(days=3))
    with pytest.raises(Refused, match="closed"):
        say(two_days, now)
    say(two_days, now + timedelta(days=3))


def test_a_change_breaks_chain_and_day(two_days, now):
    close_days(at=now + timedelta(days=3))
    without_guard(
        "UPDATE jobs_ledgerentry SET digest='" + "ab" * 32 + "' WHERE number=2"
    )
    assert [item.chain for item in broken_days()] == ["day 2026-08-03"]
    assert list(ledger.broken_chains())


def test_a_cut_tail_with_a_mended_head_still_breaks_the_day(two_days, now):
    """What a chain alone cannot show."""
    close_days(at=now + timedelta(days=3))
    without_guard("DELETE FROM jobs_ledgerentry WHERE number=3")
    with connection.cursor() as cursor:
        cursor.execute(
            "UPDATE jobs_ledgerhead SET length=2, digest="
            "(SELECT digest FROM jobs_ledgerentry WHERE number=2)"
        )
    assert list(ledger.broken_chains()) == []
    (broken,) = broken_days()
    assert broken.says == "1 entries were closed, 0 are there"


def test_verify_is_content(two_days, now, capsys):
    close_days(at=now + timedelta(days=3))
    call_command("verify")
    out = capsys.readouterr().out
    assert "The ledger holds: 3 entries in 1 chains, 2 closed days." in out
    assert LedgerDay.objects.latest("day").root in out


def test_verify_names_the_first_broken_entry_and_fails(two_days, capsys):
    without_guard("UPDATE jobs_ledgerentry SET payload='{}' WHERE number=2")
    with pytest.raises(SystemExit) as stopped:
        call_command("verify", no_color=True)
    assert stopped.value.code == 1
    assert "firm: entry 2 was changed after it was written" in capsys.readouterr().err
