"""What a calendar holds, and when it changes."""

from datetime import date, datetime, timedelta

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from jobs.models import Job
from jobs.services.jobs import close_job
from scheduling.feeds import calendar_bytes
from scheduling.queries.feed_days import AllDeliveries
from scheduling.queries.feed_events import feed_of
from scheduling.services.deliveries import cancel_delivery, change_delivery
from scheduling.services.lost_days import cancel_lost_day, record_lost_day
from tests.scheduling.plans import publish, slot

TUESDAY, WEDNESDAY, THURSDAY, FRIDAY = (date(2026, 8, day) for day in (4, 5, 6, 7))


@pytest.fixture
def places(job, blue):
    """One visit of two days."""
    return {(job.pk, 1): (blue, slot(TUESDAY), slot(WEDNESDAY, "pm"))}


def events(subject, firm, at):
    return feed_of(subject, firm, at).events


def told(subject, firm, at):
    return [
        (event.starts.date(), event.status, event.sequence)
        for event in events(subject, firm, at)
    ]


def test_a_visit_is_one_event_a_day_at_the_firm_s_hours(
    places, firm, blue, job, oscar, now
):
    publish(places, oscar, now)
    first, second = events(blue, firm, now)
    assert (first.starts, first.ends) == (
        datetime(2026, 8, 4, 7, 0),
        datetime(2026, 8, 4, 15, 30),
    )
    visit = job.visits.get(ordinal=1)
    assert [first.uid, second.uid] == [
        f"{visit.uid}-1@eavesline",
        f"{visit.uid}-2@eavesline",
    ]
    assert first.location == "1 Short Street, Testfield"
    assert "Blue: Kim Crew, Sal Lead." in first.description


def test_only_days_that_changed_rise(places, firm, job, blue, oscar, now):
    publish(places, oscar, now)
    later = now + timedelta(hours=1)
    places[job.pk, 1] = (blue, slot(TUESDAY), slot(THURSDAY))
    publish(places, oscar, later)
    assert told(blue, firm, later) == [
        (TUESDAY, "CONFIRMED", 0),
        (WEDNESDAY, "CONFIRMED", 0),
        (THURSDAY, "CONFIRMED", 0),
    ]
    places[job.pk, 1] = (blue, slot(WEDNESDAY), slot(THURSDAY, "pm"))
    publish(places, oscar, later)
    assert told(blue, firm, later) == [
        (WEDNESDAY, "CONFIRMED", 1),
        (THURSDAY, "CONFIRMED", 1),
        (THURSDAY, "CANCELLED", 1),
    ]


def test_the_crew_that_loses_a_visit_hears_that_it_is_off(
    places, firm, job, blue, red, oscar, now
):
    publish(places, oscar, now)
    places[job.pk, 1] = (red, *places[job.pk, 1][1:])
    publish(places, oscar, now)
    for who in (blue, blue.lead):
        assert {e.status for e in events(who, firm, now)} == {"CANCELLED"}
    for who in (red, red.lead, job, None):
        found = events(who, firm, now)
        assert {e.status for e in found} == {"CONFIRMED"}
        assert [e.sequence for e in found] == [1, 1]


def test_a_cancelled_visit_stays_as_cancelled(places, firm, blue, oscar, now):
    publish(places, oscar, now)
    publish({}, oscar, now)
    first, _ = events(blue, firm, now)
    assert (first.status, first.sequence, first.busy) == ("CANCELLED", 1, False)
    assert first.summary.startswith("Off: ")


def test_a_closed_job_is_off_from_the_day_after(places, firm, job, blue, oscar, now):
    publish(places, oscar, now)
    tuesday = now + timedelta(days=1)
    close_job(job=job, how=Job.Closed.CALLED_OFF, note="", actor=oscar, at=tuesday)
    assert told(blue, firm, tuesday) == [
        (TUESDAY, "CONFIRMED", 0),
        (WEDNESDAY, "CANCELLED", 1),
    ]


def test_a_day_called_off_is_off_until_it_is_worked_after_all(
    places, firm, job, blue, kim, sal, oscar, now
):
    publish(places, oscar, now)
    rain, after = now + timedelta(hours=1), now + timedelta(hours=2)
    lost = record_lost_day(
        day=TUESDAY, job=job, reason="rain all day", actor=sal, at=rain
    )
    for who in (blue, kim, job, None):
        off, on = events(who, firm, rain)
        assert (off.status, off.sequence, off.changed_at) == ("CANCELLED", 1, rain)
        assert (on.status, on.sequence, on.changed_at) == ("CONFIRMED", 0, now)
        assert off.summary.startswith("Off: ")
        assert off.description.startswith("Called off: rain all day.\nDay 1 of 2.")
        assert (off.busy, off.reminder) == (False, None)
    cancel_lost_day(lost=lost, actor=oscar, at=after)
    on, _ = events(blue, firm, after)
    uid = f"{job.visits.get(ordinal=1).uid}-1@eavesline"
    assert (on.uid, on.status, on.sequence) == (uid, "CONFIRMED", 2)
    assert (on.changed_at, "Called off" in on.description) == (after, False)


def test_a_new_plan_takes_the_visit_off_the_day_that_was_called_off(
    places, firm, job, blue, sal, oscar, now
):
    publish(places, oscar, now)
    record_lost_day(day=TUESDAY, job=job, reason="Rain", actor=sal, at=now)
    places[job.pk, 1] = (blue, slot(WEDNESDAY), slot(THURSDAY, "pm"))
    publish(places, oscar, now + timedelta(hours=1))
    assert told(blue, firm, now + timedelta(hours=1)) == [
        (WEDNESDAY, "CONFIRMED", 2),
        (THURSDAY, "CONFIRMED", 1),
    ]


def test_only_what_is_told_anew_rises(places, firm, job, make_job, red, oscar, now):
    other, sal = make_job("Carport"), job.site_lead
    places[other.pk, 1] = (red, slot(TUESDAY), slot(TUESDAY, "pm"))
    publish(places, oscar, now)
    record_lost_day(day=TUESDAY, job=job, reason="Rain", actor=sal, at=now)
    assert told(other, firm, now) == [(TUESDAY, "CONFIRMED", 0)]
    storm = record_lost_day(day=TUESDAY, job=None, reason="Storm", actor=oscar, at=now)
    assert told(other, firm, now) == [(TUESDAY, "CANCELLED", 1)]
    assert told(job, firm, now)[0] == (TUESDAY, "CANCELLED", 1)  # rain, as before
    cancel_lost_day(lost=storm, actor=oscar, at=now + timedelta(hours=1))
    later = now + timedelta(hours=1)
    assert told(other, firm, later) == [(TUESDAY, "CONFIRMED", 2)]
    assert told(job, firm, later)[0] == (TUESDAY, "CANCELLED", 1)


def test_a_job_without_its_approvals_is_tentative(make_job, firm, blue, oscar, now):
    job = make_job(approved=False)
    publish({(job.pk, 1): (blue, slot(TUESDAY), slot(TUESDAY, "pm"))}, oscar, now)
    (event,) = events(blue, firm, now)
    assert event.status == "TENTATIVE"
    assert event.summary.startswith("Pencilled: ")
    assert "HOLD: Engineer's certificate is not lodged yet." in event.description


def test_only_crews_and_people_are_reminded(places, firm, job, blue, kim, oscar, now):
    publish(places, oscar, now)
    for who, expected in ((blue, 13), (kim, 13), (job, None), (None, None)):
        reminder = events(who, firm, now)[0].reminder
        assert reminder == (timedelta(hours=expected) if expected else None)


def test_a_person_sees_their_own_days_only(places, firm, kim, lou, oscar, now):
    publish(places, oscar, now)
    assert len(events(kim, firm, now)) == 2
    assert events(lou, firm, now) == ()


def test_a_delivery_keeps_its_event_when_it_moves(
    places, firm, job, blue, delivery, oscar, now
):
    publish(places, oscar, now)
    later = now + timedelta(hours=1)
    change_delivery(
        delivery=delivery,
        version=1,
        values={"due_on": THURSDAY, "due_half": "pm"},
        actor=oscar,
        at=later,
    )
    moved = {e.uid: e for e in events(blue, firm, later)}[f"{delivery.uid}@eavesline"]
    assert (moved.starts, moved.sequence, moved.changed_at) == (
        datetime(2026, 8, 6, 11, 30),
        1,
        later,
    )
    assert moved.summary == "Delivery for 1001 Patio: roof sheets and gutters"
    cancel_delivery(delivery=delivery, reason="", actor=oscar, at=later)
    off = {e.uid: e for e in events(job, firm, later)}[f"{delivery.uid}@eavesline"]
    assert (off.status, off.sequence) == ("CANCELLED", 2)


def test_deliveries_have_a_calendar_of_their_own(
    places, firm, job, delivery, oscar, now
):
    publish(places, oscar, now)
    found = feed_of(AllDeliveries(), firm, now)
    assert found.name == "Testfield Patios: Deliveries"
    assert [event.uid for event in found.events] == [f"{delivery.uid}@eavesline"]


def test_nothing_changes_when_nothing_changes(places, firm, blue, oscar, now):
    publish(places, oscar, now)
    first = calendar_bytes(feed_of(blue, firm, now))
    publish(places, oscar, now + timedelta(hours=1))
    assert calendar_bytes(feed_of(blue, firm, now + timedelta(hours=2))) == first


def test_many_bookings_cost_no_more_queries(make_job, firm, blue, oscar, now):
    jobs = [make_job(f"Patio {n}") for n in range(5)]
    days = [TUESDAY + timedelta(days=n) for n in (0, 1, 2, 6, 7)]
    counts = set()
    for some in (1, 5):
        places = {
            (job.pk, 1): (blue, slot(day), slot(day, "pm"))
            for job, day in list(zip(jobs, days, strict=True))[:some]
        }
        publish(places, oscar, now)
        with CaptureQueriesContext(connection) as asked:
            assert len(events(None, firm, now)) == some
        counts.add(len(asked))
    assert len(counts) == 1
