"""What the worker runs for the base app."""

from celery import shared_task
from django.utils import timezone

from jobs.background import give_up_lost
from jobs.services.ledger_days import close_days


@shared_task
def close_ledger_day() -> int:
    """Close the ledger's days that are over. How many were closed."""
    return len(close_days(at=timezone.now()))


@shared_task
def give_up_lost_work() -> int:
    """Mark work whose worker is gone. How many."""
    return give_up_lost(at=timezone.now())
