"""The published plan's number. Its lock puts everybody who changes the plan in line."""

from datetime import datetime

from jobs.background import run_after_commit
from jobs.domain.refusals import Refused
from jobs.models import Person
from jobs.queries import the_firm
from scheduling.models import Booking, PlanHead
from scheduling.queries.calendar import next_slot
from scheduling.services.booking_rows import take_off_plan


class Overtaken(Refused):
    """The plan was changed after this change to it was thought out."""


def lock_head() -> PlanHead:
    """The head, locked until the caller's transaction ends."""
    PlanHead.objects.get_or_create(pk=1)
    return PlanHead.objects.select_for_update().get(pk=1)


def refuse_overtaken(head: PlanHead, based_on: int) -> None:
    """Refuse a change that was thought out on an older plan."""
    if head.number != based_on:
        who = f" by {head.published_by}" if head.published_by else ""
        raise Overtaken(
            f"The plan was changed{who} after this was worked out. "
            "Look at the plan as it is now, then decide again."
        )


def advance(head: PlanHead, *, actor: Person, at: datetime) -> PlanHead:
    """Give the plan its next number, and keep what is forecast for it."""
    head.number += 1
    head.published_at, head.published_by = at, actor
    head.save(update_fields=["number", "published_at", "published_by"])
    run_after_commit("scheduling.tasks.keep_forecasts", plan_number=head.number)
    return head


def take_off_closed(*, actor: Person, at: datetime) -> None:
    """Free what is booked for jobs that were closed meanwhile.

    The jobs app knows nothing of bookings, so closed jobs are found here, when the plan
    changes next; until then pages and calendars leave them out.
    """
    today = next_slot(the_firm(), at).day
    rows = Booking.objects.filter(
        cancelled_at__isnull=True,
        end_on__gte=today,
        visit__job__closed_at__isnull=False,
    ).select_related("visit")
    for booking in rows:
        take_off_plan(booking.visit, why="the job was closed", actor=actor, at=at)
