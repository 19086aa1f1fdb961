"""Publish a draft: what moves, what is refused, what stays."""

from datetime import date, timedelta

import pytest
from django.core.exceptions import PermissionDenied
from django.db import IntegrityError

from jobs.domain.refusals import Refused
from jobs.models import LedgerEntry
from scheduling.models import (
    BookedDay,
    Booking,
    CrewSlot,
    Draft,
    PersonSlot,
    PlanHead,
)
from scheduling.services.absences import cancel_absence, record_absence
from scheduling.services.plan import publish_draft
from tests.scheduling.plans import draft_of, publish, slot

TUESDAY, WEDNESDAY = date(2026, 8, 4), date(2026, 8, 5)
THURSDAY, FRIDAY = date(2026, 8, 6), date(2026, 8, 7)
NEXT_MONDAY = date(2026, 8, 10)


@pytest.fixture
def places(job, blue):
    """The first visit on Tuesday and Wednesday, the second on Friday."""
    return {
        (job.pk, 1): (blue, slot(TUESDAY), slot(WEDNESDAY, "pm")),
        (job.pk, 2): (blue, slot(FRIDAY), slot(FRIDAY, "pm")),
    }


def taken(crew):
    return [(s.day, s.half) for s in CrewSlot.objects.filter(crew=crew)]


def test_a_published_plan_takes_the_half_days_of_crew_and_people(
    places, blue, kim, oscar, now
):
    done = publish(places, oscar, now)
    assert (done.number, done.moved, done.taken_off) == (1, 2, 0)
    assert taken(blue) == [
        (day, half) for day in (TUESDAY, WEDNESDAY, FRIDAY) for half in ("am", "pm")
    ]
    assert PersonSlot.objects.filter(person=kim).count() == 6


def test_each_job_moved_is_in_its_ledger(places, job, oscar, now):
    publish(places, oscar, now)
    verbs = LedgerEntry.objects.filter(chain=job.chain).values_list("verb", flat=True)
    assert list(verbs).count("schedule:booking:published") == 2
    assert LedgerEntry.objects.filter(verb="schedule:plan:published").count() == 1


def test_sequence_rises_only_for_what_moved(places, job, blue, oscar, now):
    publish(places, oscar, now)
    later = now + timedelta(hours=1)
    places[job.pk, 2] = (blue, slot(NEXT_MONDAY), slot(NEXT_MONDAY, "pm"))
    publish(places, oscar, later)
    first, second = Booking.objects.order_by("visit__ordinal")
    assert (first.sequence, first.changed_at) == (0, now)
    assert (second.sequence, second.changed_at) == (1, later)


def test_what_the_draft_does_not_book_is_cancelled_and_kept(
    places, job, blue, oscar, now
):
    publish(places, oscar, now)
    del places[job.pk, 2]
    assert publish(places, oscar, now).taken_off == 1
    second = Booking.objects.get(visit__ordinal=2)
    assert (second.cancelled_at, second.sequence) == (now, 1)
    assert (FRIDAY, "am") not in taken(blue)
    assert BookedDay.objects.get(booking=second).dropped_at == now


def test_a_draft_of_an_older_plan_is_refused(places, oscar, now):
    old = draft_of(places, oscar, now)
    publish(places, oscar, now)
    with pytest.raises(Refused, match="changed by Oscar Office"):
        publish_draft(draft=old, actor=oscar, at=now)
    assert PlanHead.objects.get().number == 1


def test_a_draft_is_published_once(places, oscar, now):
    draft = draft_of(places, oscar, now)
    publish_draft(draft=draft, actor=oscar, at=now)
    with pytest.raises(Refused, match="Published"):
        publish_draft(draft=draft, actor=oscar, at=now)


def test_a_crew_in_two_places_is_refused_and_nothing_changes(
    places, make_job, blue, oscar, now
):
    other = make_job("Carport")
    places[other.pk, 1] = (blue, slot(WEDNESDAY, "pm"), slot(THURSDAY))
    draft = draft_of(places, oscar, now)
    with pytest.raises(Refused, match="Blue would be booked twice on Wed 5 Aug"):
        publish_draft(draft=draft, actor=oscar, at=now)
    assert not Booking.objects.exists()
    draft.refresh_from_db()
    assert draft.state == Draft.State.READY


def test_the_database_itself_refuses_a_crew_twice(places, blue, oscar, now):
    publish(places, oscar, now)
    booking = Booking.objects.get(visit__ordinal=1)
    with pytest.raises(IntegrityError, match="crew"):
        CrewSlot.objects.create(booking=booking, crew=blue, day=TUESDAY, half="am")


def test_the_database_itself_refuses_a_person_twice(places, kim, oscar, now):
    publish(places, oscar, now)
    booking = Booking.objects.get(visit__ordinal=1)
    with pytest.raises(IntegrityError, match="person"):
        PersonSlot.objects.create(booking=booking, person=kim, day=TUESDAY, half="am")


def test_half_days_that_have_begun_stay(places, job, red, oscar, now):
    publish(places, oscar, now)
    job.tasks.filter(key="set_out").update(started_at=now + timedelta(days=1))
    wednesday = now + timedelta(days=1, hours=20)  # Wednesday, 6 am in Sydney
    places[job.pk, 1] = (red, slot(TUESDAY), slot(WEDNESDAY, "pm"))
    publish(places, oscar, wednesday)
    crews = CrewSlot.objects.order_by("day", "half").values_list("day", "crew__name")
    assert list(crews)[:4] == [
        (TUESDAY, "Blue"),
        (TUESDAY, "Blue"),
        (WEDNESDAY, "Red"),
        (WEDNESDAY, "Red"),
    ]


def test_time_that_passed_makes_a_draft_too_old(places, oscar, now):
    draft = draft_of(places, oscar, now)
    with pytest.raises(Refused, match="would have begun already"):
        publish_draft(draft=draft, actor=oscar, at=now + timedelta(days=2))


def test_work_done_early_frees_the_crew(places, job, blue, make_job, oscar, now):
    publish(places, oscar, now)
    done_at = now + timedelta(days=1, hours=7)  # Tuesday, 5 pm
    job.tasks.filter(key__in=["set_out", "posts", "beams"]).update(
        started_at=now + timedelta(days=1), done_at=done_at
    )
    other = make_job("Carport")
    places = {(other.pk, 1): (blue, slot(WEDNESDAY), slot(THURSDAY, "pm"))}
    publish(places, oscar, done_at + timedelta(hours=1))
    first = Booking.objects.get(visit__job=job, visit__ordinal=1)
    assert (first.end_on, first.end_half) == (TUESDAY, "pm")


def test_who_is_away_is_not_booked_and_comes_back_when_it_is_cancelled(
    places, kim, oscar, now
):
    publish(places, oscar, now)
    absence = record_absence(
        person=kim,
        from_on=TUESDAY,
        to_on=TUESDAY,
        reason="Dentist",
        actor=oscar,
        at=now,
    )
    assert not PersonSlot.objects.filter(person=kim, day=TUESDAY).exists()
    cancel_absence(absence=absence, actor=oscar, at=now)
    assert PersonSlot.objects.filter(person=kim, day=TUESDAY).count() == 2


def test_only_who_schedules_may_publish(places, oscar, olive, sal, now):
    draft = draft_of(places, oscar, now)
    for person in (olive, sal):
        with pytest.raises(PermissionDenied):
            publish_draft(draft=draft, actor=person, at=now)
