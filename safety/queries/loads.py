"""Loads that a site lead waits for, or has to check in."""

from collections.abc import Iterable
from datetime import date, timedelta

from jobs.models import Job, Person
from scheduling.permissions import visible_deliveries
from scheduling.queries.deliveries import DeliveryView, delivery_views

AHEAD = timedelta(days=7)


def loads_on_site(
    person: Person, jobs: Iterable[Job], today: date
) -> list[DeliveryView]:
    """Loads of these jobs that come this week, are late, or came short. Five queries.

    Only those that this person may see.
    """
    rows = visible_deliveries(person).filter(
        job__in=list(jobs), cancelled_at__isnull=True, due_on__lte=today + AHEAD
    )
    views = delivery_views(rows.order_by("due_on", "due_half", "pk"), today)
    return [view for view in views if view.state in {"ordered", "short"}]
