"""Holds of scheduling, as of a moment."""

from datetime import date, timedelta
from uuid import uuid4

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from jobs.domain.holds import Stops
from jobs.services.jobs import edit_job
from jobs.services.people import withdraw_ticket
from scheduling.holds import crew_holds, delivery_holds, lost_day_holds
from scheduling.services.absences import record_absence
from scheduling.services.deliveries import order_delivery
from scheduling.services.lost_days import cancel_lost_day, record_lost_day
from scheduling.services.receipts import Counted, check_in
from tests.scheduling.plans import publish, slot

TUESDAY, WEDNESDAY, FRIDAY = (date(2026, 8, day) for day in (4, 5, 7))


def rules(provider, job, at):
    return {hold.rule: hold for hold in provider([job], at)}


def keys(job, hold):
    return {task.key for task in job.tasks.filter(pk__in=hold.task_ids)}


def receive(delivery, actor, at, **good):
    lines = {line.bom_line.part: line for line in delivery.lines.all()}
    return check_in(
        delivery=delivery,
        client_uid=uuid4(),
        device_at=at,
        counted={
            lines[part].pk: Counted(number, damaged=lines[part].ordered - number)
            for part, number in good.items()
        },
        actor=actor,
        at=at,
    )


@pytest.fixture
def booked(job, blue, oscar, now):
    """Blue does the first visit on Tuesday and Wednesday."""
    publish({(job.pk, 1): (blue, slot(TUESDAY), slot(WEDNESDAY, "pm"))}, oscar, now)


def test_material_to_come_holds_the_tasks_that_need_it(job, delivery, now):
    hold = rules(delivery_holds, job, now)["delivery.due"]
    assert keys(job, hold) == {"sheets", "gutter"}
    assert hold.forecast == WEDNESDAY
    assert hold.stops == {Stops.TASKS}
    assert (
        hold.says
        == "Not on site yet: roof sheets and gutters, due Wed 5 Aug 2026, morning."
    )


def test_what_is_on_no_delivery_is_not_ordered(job, delivery, now):
    hold = rules(delivery_holds, job, now)["delivery.not_ordered"]
    assert keys(job, hold) == {"posts", "beams"}
    assert hold.forecast is None


def test_a_load_that_did_not_come_is_late_the_day_after(job, delivery, now):
    late = rules(delivery_holds, job, now + timedelta(days=3))["delivery.late"]
    assert late.forecast is None
    assert "delivery.late" not in rules(delivery_holds, job, now + timedelta(days=2))


def test_a_shortage_holds_exactly_the_tasks_that_need_the_part(job, delivery, sal, now):
    receive(delivery, sal, now, sheet=9, gutter=1)
    hold = rules(delivery_holds, job, now)["delivery.short"]
    assert hold.says == "sheets: 3 damaged, of 12 ordered."
    assert keys(job, hold) == {"sheets"}


def test_a_new_load_gives_the_shortage_a_day_and_then_clears_it(
    job, bom, delivery, supplier, sal, oscar, now
):
    receive(delivery, sal, now, sheet=9, gutter=1)
    more = order_delivery(
        job=job,
        values={"supplier": supplier, "due_on": FRIDAY},
        amounts={bom["sheet"].pk: 3},
        actor=oscar,
        at=now,
    )
    assert rules(delivery_holds, job, now)["delivery.short"].forecast == FRIDAY
    receive(more, sal, now, sheet=3)
    assert "delivery.short" not in rules(delivery_holds, job, now)


def test_the_past_is_judged_by_what_was_known_then(job, delivery, sal, now):
    receive(delivery, sal, now + timedelta(hours=2), sheet=12, gutter=1)
    assert "delivery.due" in rules(delivery_holds, job, now + timedelta(hours=1))
    assert "delivery.due" not in rules(delivery_holds, job, now + timedelta(hours=3))
    before = rules(delivery_holds, job, now - timedelta(hours=1))
    assert keys(job, before["delivery.not_ordered"]) == {
        "posts",
        "beams",
        "sheets",
        "gutter",
    }


def test_a_task_that_is_done_needs_nothing(job, delivery, now):
    job.tasks.filter(key="posts").update(started_at=now, done_at=now)
    hold = rules(delivery_holds, job, now + timedelta(hours=1))["delivery.not_ordered"]
    assert keys(job, hold) == {"beams"}


def test_a_crew_that_fits_holds_nothing(job, booked, now):
    assert rules(crew_holds, job, now) == {}


def test_too_few_people_hold_the_tasks_of_the_visit(job, booked, sal, oscar, now):
    later = now + timedelta(hours=1)
    record_absence(
        person=sal,
        from_on=WEDNESDAY,
        to_on=WEDNESDAY,
        reason="Sick",
        actor=oscar,
        at=later,
    )
    found = rules(crew_holds, job, later)
    assert found["crew.too_few"].says == (
        "Blue has 1 of the 2 people that “Set out … Lift beams” needs "
        "on Wed 5 Aug 2026."
    )
    assert keys(job, found["crew.too_few"]) == {"set_out", "posts", "beams"}
    assert "Sal Lead, who leads the site, is away" in found["crew.lead_away"].says
    assert rules(crew_holds, job, now) == {}


def test_nobody_with_the_ticket_on_the_day(job, booked, kim, oscar, now):
    later = now + timedelta(hours=1)
    withdraw_ticket(ticket=kim.tickets.get(), actor=oscar, at=later)
    hold = rules(crew_holds, job, later)["crew.ticket.dogging_licence"]
    assert "Nobody in Blue holds “Dogging licence”" in hold.says
    assert rules(crew_holds, job, now) == {}


def test_a_crew_that_is_away(job, booked, blue, oscar, now):
    record_absence(
        crew=blue,
        from_on=TUESDAY,
        to_on=WEDNESDAY,
        reason="Truck in repair",
        actor=oscar,
        at=now,
    )
    hold = rules(crew_holds, job, now)["crew.away"]
    assert hold.says == "Blue is away on Tue 4 Aug 2026 and 1 more: Truck in repair."


def test_a_booked_job_without_a_lead(job, booked, oscar, now):
    edit_job(job=job, version=1, values={"site_lead": None}, actor=oscar, at=now)
    assert set(rules(crew_holds, job, now)) == {"crew.no_lead"}


def test_a_booking_that_is_over_holds_nothing(job, booked, oscar, now):
    edit_job(job=job, version=1, values={"site_lead": None}, actor=oscar, at=now)
    assert rules(crew_holds, job, now + timedelta(days=4)) == {}


def test_a_lost_day_stops_work_on_that_day(job, booked, make_job, oscar, now):
    other = make_job("Carport")
    tuesday = now + timedelta(days=1)
    lost = record_lost_day(day=TUESDAY, job=job, reason="Storm", actor=oscar, at=now)
    hold = rules(lost_day_holds, job, tuesday)["weather.lost_day"]
    assert hold.stops == {Stops.WORK}
    assert rules(lost_day_holds, job, now) == {}
    assert rules(lost_day_holds, other, tuesday) == {}
    cancel_lost_day(lost=lost, actor=oscar, at=tuesday)
    assert rules(lost_day_holds, job, tuesday + timedelta(hours=1)) == {}
    assert rules(lost_day_holds, job, tuesday - timedelta(minutes=1)) != {}


def test_many_jobs_cost_no_more_queries(
    make_job, booked, job, blue, delivery, oscar, now
):
    jobs = [job, *(make_job(f"Patio {n}") for n in range(5))]
    for provider, limit in ((delivery_holds, 5), (crew_holds, 8), (lost_day_holds, 2)):
        counts = set()
        for some in (jobs[:1], jobs):
            with CaptureQueriesContext(
                connection,
            ) as asked:
                list(provider(some, now))
            counts.add(len(asked))
        assert len(counts) == 1
        assert counts.pop() <= limit
