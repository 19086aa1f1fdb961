"""The ledger chains entries and the database keeps them as they are."""

import pytest
from django.db import DatabaseError, connection, transaction

from jobs import ledger
from jobs.models import LedgerEntry, LedgerHead


def say(actor, now, n=1):
    return ledger.append(
        chain=ledger.FIRM_CHAIN,
        actor=actor,
        at=now,
        verb="test:said",
        subject=actor,
        payload={"n": n, "half": 0.5, "words": "naïve — ok"},
    )


def without_guard(sql):
    """Tamper as somebody with the database file in hand would."""
    with connection.cursor() as cursor:
        if connection.vendor == "sqlite":
            cursor.execute("DROP TRIGGER ledger_no_update")
            cursor.execute("DROP TRIGGER ledger_no_delete")
        else:
            # Foreign keys of this transaction are checked at its end, unless now.
            cursor.execute("SET CONSTRAINTS ALL IMMEDIATE")
            cursor.execute("ALTER TABLE jobs_ledgerentry DISABLE TRIGGER USER")
        cursor.execute(sql)


def test_entries_follow_each_other(oscar, now):
    first, second = say(oscar, now), say(oscar, now, 2)
    assert (first.number, second.number) == (1, 2)
    assert second.previous == first.digest
    assert list(ledger.broken_chains()) == []


def test_the_database_refuses_a_change(oscar, now):
    entry = say(oscar, now)
    with pytest.raises(DatabaseError, match="never changed"), transaction.atomic():
        LedgerEntry.objects.filter(pk=entry.pk).update(verb="test:lied")


def test_the_database_refuses_a_deletion(oscar, now):
    entry = say(oscar, now)
    with pytest.raises(DatabaseError, match="never changed"), transaction.atomic():
        LedgerEntry.objects.filter(pk=entry.pk).delete()


@pytest.mark.parametrize(
    ("sql", "says"),
    [
        (
            "UPDATE jobs_ledgerentry SET payload='{}' WHERE number=2",
            "entry 2 was changed",
        ),
        (
            "UPDATE jobs_ledgerentry SET actor_name='X' WHERE number=1",
            "entry 1 was changed",
        ),
        ("DELETE FROM jobs_ledgerentry WHERE number=2", "entry 2 is missing"),
        ("DELETE FROM jobs_ledgerentry WHERE number=3", "missing from the end"),
    ],
)
def test_tampering_is_found(oscar, now, sql, says):
    for n in range(3):
        say(oscar, now, n)
    without_guard(sql)
    (broken,) = ledger.broken_chains()
    assert says in broken.says


def test_a_lost_head_is_found(oscar, now):
    say(oscar, now)
    LedgerHead.objects.all().delete()
    (broken,) = ledger.broken_chains()
    assert "head" in broken.says
