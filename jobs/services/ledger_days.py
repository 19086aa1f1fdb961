"""Close the ledger's days: one Merkle root a day that the owner can keep elsewhere.

A day here is a day of Coordinated Universal Time, so that it means the same whatever
clock the firm shows. Its leaves are the digests of the day's entries by chain and number.
Once a day is closed :func:`jobs.ledger.append` takes no entry for it.
"""

from collections.abc import Iterator
from datetime import UTC, date, datetime, time, timedelta

from django.db import transaction
from django.db.models.functions import TruncDate

from jobs.domain.chain import merkle_root
from jobs.ledger import Broken
from jobs.models import LedgerDay, LedgerEntry

# Entries of a day may still be on their way to the disk for a moment after midnight.
GRACE = timedelta(minutes=30)


@transaction.atomic
def close_days(*, at: datetime) -> list[LedgerDay]:
    """Close every day with entries that is over and not closed. Safe to run again."""
    end = (at - GRACE).astimezone(UTC).date()
    last = LedgerDay.objects.select_for_update().order_by("-day").first()
    entries = LedgerEntry.objects.filter(at__lt=_midnight(end))
    if last is not None:
        entries = entries.filter(at__gte=_midnight(last.day + timedelta(days=1)))
    days = entries.order_by().annotate(day=TruncDate("at", tzinfo=UTC))
    listed = days.values_list("day", flat=True).distinct()
    return [_close(day, at) for day in sorted(listed)]


def _midnight(day: date) -> datetime:
    return datetime.combine(day, time(), UTC)


def _close(day: date, at: datetime) -> LedgerDay:
    count, root = root_of(day)
    return LedgerDay.objects.create(day=day, entries=count, root=root, closed_at=at)


def root_of(day: date) -> tuple[int, str]:
    """How many entries a day has, and the root over them. One query."""
    entries = LedgerEntry.objects.filter(
        at__gte=_midnight(day), at__lt=_midnight(day + timedelta(days=1))
    )
    digests = entries.order_by("chain", "number").values_list("digest", flat=True)
    leaves = [bytes.fromhex(digest) for digest in digests]
    return len(leaves), merkle_root(leaves)


def broken_days() -> Iterator[Broken]:
    """Every closed day whose entries no longer give its root."""
    for row in LedgerDay.objects.order_by("day"):
        count, root = root_of(row.day)
        if count != row.entries:
            says = f"{row.entries} entries were closed, {count} are there"
            yield Broken(f"day {row.day}", says)
        elif root != row.root:
            yield Broken(f"day {row.day}", "the root does not fit the entries")
