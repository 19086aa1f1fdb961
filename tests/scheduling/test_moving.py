"""A booking moved by hand: what it breaks is said first, and nothing moves by a look."""

from datetime import date
from typing import Any

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from jobs.models import LedgerEntry
from scheduling.models import Booking
from scheduling.queries.moving import proposal
from scheduling.services.absences import add_closure, record_absence
from scheduling.services.bookings import book_visit, pin_booking
from tests.scheduling.plans import publish, slot

TUESDAY, WEDNESDAY, THURSDAY, FRIDAY = (date(2026, 8, d) for d in range(4, 8))


@pytest.fixture
def booking(job, blue, red, oscar, now):
    """Blue begins on Wednesday and comes back on Friday."""
    places = {
        (job.pk, 1): (blue, slot(TUESDAY), slot(WEDNESDAY, "pm")),
        (job.pk, 2): (blue, slot(FRIDAY), slot(FRIDAY, "pm")),
    }
    publish(places, oscar, now)
    return Booking.objects.get(visit__ordinal=2)


@pytest.fixture
def office(client, oscar, now, time_machine):
    time_machine.move_to(now)
    client.force_login(oscar)
    return client


def at(booking, crew, start, firm, now):
    return proposal(booking.visit, booking, crew, start, firm, now)


def test_steps_go_over_days_nobody_works(booking, blue, red, firm, oscar, now):
    days: dict[str, Any] = {"from_on": date(2026, 8, 10), "to_on": date(2026, 8, 10)}
    add_closure(reason="Fair", actor=oscar, at=now, **days)
    found = at(booking, blue, slot(FRIDAY, "pm"), firm, now)
    assert [(step.says, step.start) for step in found.steps] == [
        ("A day earlier", slot(THURSDAY, "pm")),
        ("Half a day earlier", slot(FRIDAY)),
        ("Half a day later", slot(date(2026, 8, 11))),
        ("A day later", slot(date(2026, 8, 11), "pm")),
        ("Red does it", slot(FRIDAY, "pm")),
    ]


def test_where_it_is_nothing_is_to_be_booked(booking, blue, firm, now):
    found = at(booking, blue, slot(FRIDAY), firm, now)
    assert (found.is_here, found.may_be_booked, found.breaks) == (True, False, ())


def test_what_breaks_is_said_in_the_engine_s_rules(booking, red, kim, firm, now):
    found = at(booking, red, slot(THURSDAY), firm, now)
    assert found.may_be_booked
    assert found.breaks == (
        "It would begin before 24 hours have passed (the posts have to set) "
        "after “Set out … Lift beams”, Wed 5 Aug 2026, afternoon.",
        "Blue does another visit of this job; one crew should see it through.",
    )


def test_where_the_crew_is_taken_it_cannot_go(booking, blue, firm, now):
    found = at(booking, blue, slot(date(2026, 8, 1)), firm, now)
    assert not found.may_be_booked


def test_a_pin_is_respected(booking, red, firm, oscar, now):
    pinned = pin_booking(booking=booking, pinned=True, actor=oscar, at=now)
    found = at(pinned, red, slot(FRIDAY), firm, now)
    assert "Somebody pinned it to Fri 7 Aug 2026, morning, Blue." in found.breaks


def test_a_look_moves_nothing_and_a_button_does(office, booking, blue):
    place = {"crew": blue.pk, "start_on": "2026-08-10", "start_half": "am"}
    url = reverse("scheduling:visit_move", args=[booking.visit_id])
    part = office.get(url, place, headers={"HX-Request": "true"}).content.decode()
    assert "Nothing breaks" in part
    assert "<html" not in part
    booking.refresh_from_db()
    assert booking.start_on == FRIDAY
    sent = {**place, "based_on": 1, "then": "plan"}
    answer = office.post(
        reverse("scheduling:visit_book", args=[booking.visit_id]), sent
    )
    assert answer.url == "/plan/?start=2026-08-10"
    booking.refresh_from_db()
    assert (booking.start_on, booking.is_pinned) == (date(2026, 8, 10), False)


def test_what_was_accepted_is_in_the_ledger(office, booking, red):
    sent = {
        "crew": red.pk,
        "start_on": "2026-08-06",
        "start_half": "am",
        "based_on": 1,
        "accept": "on",
        "then": "plan",
    }
    office.post(reverse("scheduling:visit_book", args=[booking.visit_id]), sent)
    entry = LedgerEntry.objects.filter(verb="schedule:booking:moved").latest("pk")
    assert "the posts have to set" in entry.payload


def test_a_move_thought_out_on_an_older_plan_is_refused(office, booking, red):
    sent = {
        "crew": red.pk,
        "start_on": "2026-08-10",
        "start_half": "am",
        "based_on": 0,
        "accept": "on",
    }
    url = reverse("scheduling:visit_book", args=[booking.visit_id])
    assert office.post(url, sent).status_code == 422
    booking.refresh_from_db()
    assert booking.start_on == FRIDAY


def test_after_a_look_at_the_plan_as_it_is_now_the_next_press_counts(
    office, booking, blue, oscar, now
):
    book_visit(
        visit=booking.visit,
        crew=blue,
        start=slot(date(2026, 8, 11)),
        pinned=False,
        accept=True,
        actor=oscar,
        at=now,
    )
    sent = {
        "crew": blue.pk,
        "start_on": "2026-08-10",
        "start_half": "am",
        "based_on": 1,
        "accept": "on",
    }
    url = reverse("scheduling:visit_book", args=[booking.visit_id])
    refused = office.post(url, sent)
    page = refused.content.decode()
    assert refused.status_code == 422
    assert "Oscar Office saved it" in page
    assert "Save again to put yours over it." in page
    assert 'href="/plan/?start=2026-08-10"' in page
    assert "Blue, Tue 11 Aug 2026, morning" in page  # where it is now
    form = refused.context["form"]
    assert (form["based_on"].value(), form["accept"].value()) == ("2", None)
    again = office.post(url, {**sent, "based_on": 2, "accept": ""})
    assert again.status_code == 302
    booking.refresh_from_db()
    assert booking.start_on == date(2026, 8, 10)


def test_taking_it_off_counts_from_the_plan_as_it_is_now(office, booking):
    url = reverse("scheduling:booking_off", args=[booking.pk])
    refused = office.post(url, {"based_on": 0, "reason": "Client"})
    page = refused.content.decode()
    assert refused.status_code == 422
    assert 'name="based_on" value="1"' in page
    assert "press the button again" in page
    office.post(url, {"based_on": 1, "reason": "Client"})
    booking.refresh_from_db()
    assert booking.cancelled_at is not None


def test_looking_costs_the_same_whatever_is_booked(
    office, booking, make_job, blue, red, oscar, now
):
    url = reverse("scheduling:visit_move", args=[booking.visit_id])
    office.get(url)
    with CaptureQueriesContext(connection) as few:
        office.get(url)
    other = make_job("Carport")
    places = {(other.pk, 1): (red, slot(TUESDAY), slot(WEDNESDAY, "pm"))}
    publish(
        {
            **places,
            (booking.visit.job_id, 1): (blue, slot(TUESDAY), slot(WEDNESDAY, "pm")),
            (booking.visit.job_id, 2): (blue, slot(FRIDAY), slot(FRIDAY, "pm")),
        },
        oscar,
        now,
    )
    with CaptureQueriesContext(connection) as many:
        office.get(url)
    assert len(many) == len(few)


def test_the_plan_tells_its_script_where_everything_is(
    office, booking, kim, oscar, now
):
    days: dict[str, Any] = {"from_on": FRIDAY, "to_on": FRIDAY}
    record_absence(person=kim, reason="Leave", actor=oscar, at=now, **days)
    page = office.get(reverse("scheduling:plan")).content.decode()
    assert f'data-move="/plan/visits/{booking.visit_id}/move/"' in page
    assert 'data-day="2026-08-07" data-half="am"' in page
    assert "eavesline/plan.js" in page


def test_the_owner_looks_and_does_not_move(client, booking, olive, now, time_machine):
    time_machine.move_to(now)
    client.force_login(olive)
    page = client.get(reverse("scheduling:plan")).content.decode()
    assert "data-move" not in page
    assert "plan.js" not in page
