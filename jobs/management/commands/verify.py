"""Check the ledger: every chain, and every closed day."""

import sys
from typing import Any

from django.core.management.base import BaseCommand

from jobs.ledger import broken_chains
from jobs.models import LedgerDay, LedgerEntry, LedgerHead
from jobs.services.ledger_days import broken_days


class Command(BaseCommand):
    """Exit code 1 when anything does not hold; the first broken entry of each chain."""

    help = "Check every chain of the ledger and every closed day."

    def handle(self, *args: Any, **options: Any) -> None:
        """Read everything; write nothing."""
        broken = [*broken_chains(), *broken_days()]
        for item in broken:
            self.stderr.write(self.style.ERROR(f"{item.chain}: {item.says}"))
        if broken:
            sys.exit(1)
        self.stdout.write(
            f"The ledger holds: {LedgerEntry.objects.count()} entries in "
            f"{LedgerHead.objects.count()} chains, {LedgerDay.objects.count()} closed days."
        )
        last = LedgerDay.objects.first()
        if last is not None:
            self.stdout.write(f"Newest root, {last.day.isoformat()}: {last.root}")
