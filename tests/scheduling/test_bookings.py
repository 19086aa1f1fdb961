"""Change the published plan by hand."""

from datetime import date, timedelta

import pytest
from django.core.exceptions import PermissionDenied

from jobs.domain.refusals import Refused
from jobs.models import Job, LedgerEntry
from jobs.services.jobs import close_job
from scheduling.models import Booking, CrewSlot, PlanHead
from scheduling.services.absences import add_closure, record_absence
from scheduling.services.bookings import (
    Breaks,
    book_visit,
    cancel_booking,
    pin_booking,
)
from scheduling.services.visits import sync_visits
from tests.scheduling.plans import slot

TUESDAY, WEDNESDAY, THURSDAY, FRIDAY = (date(2026, 8, day) for day in (4, 5, 6, 7))
SATURDAY, MONDAY = date(2026, 8, 8), date(2026, 8, 10)


@pytest.fixture
def visits(job, oscar, now):
    return sync_visits(job=job, actor=oscar, at=now)


@pytest.fixture
def book(oscar, now):
    def place(visit, crew, day, half="am", **more):
        values = {"actor": oscar, "at": now, **more}
        return book_visit(visit=visit, crew=crew, start=slot(day, half), **values)

    return place


def test_the_people_there_decide_how_long_it_takes(visits, blue, red, book):
    two = book(visits[0], blue, TUESDAY)
    assert (two.end_on, two.end_half) == (WEDNESDAY, "pm")
    three = book(visits[0], red, TUESDAY, accept=True)
    assert (three.end_on, three.end_half) == (WEDNESDAY, "am")
    assert three.sequence == 1


def test_weekends_and_closures_are_worked_around(visits, blue, book, oscar, now):
    add_closure(from_on=MONDAY, to_on=MONDAY, reason="Fair", actor=oscar, at=now)
    booking = book(visits[0], blue, FRIDAY)
    assert booking.end_on == date(2026, 8, 11)
    days = CrewSlot.objects.order_by("day").values_list("day", flat=True).distinct()
    assert list(days) == [FRIDAY, date(2026, 8, 11)]


@pytest.mark.parametrize(
    ("day", "says"),
    [(SATURDAY, "does not work"), (date(2026, 7, 31), "begun already")],
)
def test_days_that_cannot_be_are_refused(visits, blue, book, day, says):
    with pytest.raises(Refused, match=says):
        book(visits[0], blue, day)


def test_a_crew_that_is_booked_is_refused_by_name(
    visits, make_job, blue, book, oscar, now
):
    book(visits[0], blue, TUESDAY)
    (other, _) = sync_visits(job=make_job("Carport"), actor=oscar, at=now)
    with pytest.raises(Refused, match="Blue is booked on 1001 Patio on Wed 5 Aug 2026"):
        book(other, blue, WEDNESDAY, "pm")


def test_what_it_breaks_is_said_and_can_be_accepted(visits, blue, red, book):
    book(visits[0], blue, TUESDAY)
    with pytest.raises(Breaks) as error:
        book(visits[1], red, THURSDAY)
    assert error.value.reasons == (
        "It would begin before 24 hours have passed (the posts have to set) after "
        "“Set out … Lift beams”, Wed 5 Aug 2026, afternoon.",
        "Blue does another visit of this job; one crew should see it through.",
    )
    assert not Booking.objects.filter(visit=visits[1]).exists()
    book(visits[1], red, THURSDAY, accept=True)
    entry = LedgerEntry.objects.filter(verb="schedule:booking:published").latest("pk")
    assert "accepted: It would begin before 24 hours" in entry.payload


def test_too_few_people_and_no_ticket(visits, blue, kim, book, oscar, now):
    record_absence(
        person=kim,
        from_on=WEDNESDAY,
        to_on=WEDNESDAY,
        reason="Sick",
        actor=oscar,
        at=now,
    )
    with pytest.raises(Breaks) as error:
        book(visits[0], blue, TUESDAY)
    assert error.value.reasons == (
        "Blue has fewer than 2 people on Wed 5 Aug 2026.",
        "Nobody in Blue holds “Dogging licence” on Wed 5 Aug 2026.",
    )


def test_approvals_material_and_promises(
    make_job, supplier, bom, blue, book, oscar, now
):
    job = make_job("Late one", approved=False, promised_on=TUESDAY)
    visit = sync_visits(job=job, actor=oscar, at=now)[0]
    with pytest.raises(Breaks) as error:
        book(visit, blue, THURSDAY)
    first, second, promised = error.value.reasons
    assert first.startswith("Not before Tue 18 Aug 2026, morning: Engineer's")
    assert second.startswith("Not before")
    assert promised == "The job was promised by Tue 4 Aug 2026."


def test_a_plan_that_changed_meanwhile_is_refused(visits, blue, book):
    book(visits[0], blue, TUESDAY, based_on=0)
    assert PlanHead.objects.get().number == 1
    with pytest.raises(Refused, match="changed by Oscar Office"):
        book(visits[0], blue, WEDNESDAY, based_on=0)


def test_what_has_begun_moves_only_in_a_draft(visits, blue, book, now):
    book(visits[0], blue, TUESDAY)
    with pytest.raises(Refused, match="has begun"):
        book(visits[0], blue, FRIDAY, at=now + timedelta(days=1))


def test_closed_jobs_give_their_half_days_back(
    visits, job, make_job, blue, book, oscar, now
):
    book(visits[0], blue, TUESDAY)
    close_job(job=job, how=Job.Closed.CALLED_OFF, note="", actor=oscar, at=now)
    (other, _) = sync_visits(job=make_job("Carport"), actor=oscar, at=now)
    book(other, blue, TUESDAY)
    assert Booking.objects.get(visit=visits[0]).cancelled_at == now


def test_off_the_plan_with_a_reason(visits, blue, book, oscar, now):
    booking = book(visits[0], blue, TUESDAY)
    with pytest.raises(Refused, match="Say why"):
        cancel_booking(booking=booking, reason=" ", actor=oscar, at=now)
    cancel_booking(booking=booking, reason="Client asked", actor=oscar, at=now)
    booking.refresh_from_db()
    assert (booking.cancelled_at, booking.sequence) == (now, 1)
    assert not CrewSlot.objects.exists()
    again = book(visits[0], blue, TUESDAY)
    assert (again.pk, again.sequence, again.cancelled_at) == (booking.pk, 2, None)


def test_pinning_does_not_reach_calendars(visits, blue, book, oscar, now):
    booking = book(visits[0], blue, TUESDAY, pinned=False)
    pinned = pin_booking(booking=booking, pinned=True, actor=oscar, at=now)
    assert (pinned.is_pinned, pinned.sequence) == (True, 0)
    assert LedgerEntry.objects.filter(verb="schedule:booking:pinned").count() == 1


def test_wrong_roles(visits, blue, book, sal, olive):
    for person in (sal, olive):
        with pytest.raises(PermissionDenied):
            book(visits[0], blue, TUESDAY, actor=person)
