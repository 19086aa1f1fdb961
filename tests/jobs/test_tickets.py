"""Tickets: recorded with a picture, shown before they run out, withdrawn."""

from datetime import date

import pytest
from django.urls import reverse

from jobs.forms.people import months_later
from jobs.models import Document, LedgerEntry, Person, Ticket
from jobs.queries.people import people_on
from jobs.services.people import add_ticket

TODAY = date(2026, 8, 3)


def add(browser, person, **typed):
    url = reverse("jobs:ticket_add", args=[person.pk])
    return browser.post(url, {"kind": "working_at_heights", **typed})


def test_a_ticket_with_its_picture(as_person, oscar, sal, picture):
    add(as_person(oscar), sal, number="WH-7", expires_on="2028-02-01", evidence=picture)
    evidence = Document.objects.get()
    assert evidence.media_type == "image/png"
    assert Ticket.objects.get(number="WH-7", person=sal).evidence == evidence
    assert LedgerEntry.objects.filter(verb="firm:ticket:added").count() == 1


def test_the_holder_sees_the_picture_and_others_do_not(
    as_person, oscar, sal, cam, picture
):
    add(as_person(oscar), sal, expires_on="2028-02-01", evidence=picture)
    url = reverse("jobs:document_file", args=[Ticket.objects.get().evidence_id])
    assert as_person(sal).get(url).status_code == 200
    assert as_person(cam).get(url).status_code == 404


def test_a_kind_that_runs_out_counts_from_the_day_of_issue(as_person, oscar, sal):
    add(as_person(oscar), sal, issued_on="2026-03-31")
    assert Ticket.objects.get().expires_on == date(2028, 3, 31)


@pytest.mark.parametrize(
    ("typed", "says"),
    [
        ({}, "Give a day."),
        ({"issued_on": "2026-03-01", "expires_on": "2026-02-01"}, "ends before"),
        ({"kind": "juggling"}, "Choose one from the list"),
        ({"expires_on": "soon"}, "Give the day as in"),
    ],
)
def test_what_cannot_be_is_refused(as_person, oscar, sal, typed, says):
    response = add(as_person(oscar), sal, **typed)
    assert response.status_code == 422
    assert says in response.text
    assert not Ticket.objects.exists()


def test_a_file_that_is_no_picture_leaves_no_ticket(as_person, oscar, sal, text_file):
    response = add(as_person(oscar), sal, expires_on="2028-02-01", evidence=text_file)
    assert response.status_code == 422
    assert not Ticket.objects.exists()


def test_only_the_office_and_owner_record_tickets(as_person, sal, cam):
    url = reverse("jobs:ticket_add", args=[sal.pk])
    assert as_person(sal).get(url).status_code == 403
    assert as_person(cam).get(url).status_code == 404


def test_a_withdrawn_ticket_keeps_its_record(as_person, oscar, sal, now):
    ticket = add_ticket(person=sal, kind="first_aid", actor=oscar, at=now)
    as_person(oscar).post(reverse("jobs:ticket_withdraw", args=[ticket.pk]))
    ticket.refresh_from_db()
    assert ticket.withdrawn_at is not None
    page = as_person(oscar).get(reverse("jobs:person_detail", args=[sal.pk])).text
    assert "1 out of use" in page


def test_those_with_a_ticket_to_renew_come_first(oscar, sal, cam, lou, now):
    days = {lou: date(2026, 8, 20), cam: date(2026, 8, 1), sal: date(2027, 8, 1)}
    for person, day in days.items():
        add_ticket(person=person, kind="first_aid", expires_on=day, actor=oscar, at=now)
    views = people_on(TODAY, Person.objects.filter(is_crew=True))
    assert [view.person for view in views] == [cam, lou, sal]
    assert [view.tickets[0].state for view in views] == ["expired", "soon", "good"]


def test_my_own_page_shows_my_tickets(as_person, oscar, cam, now):
    add_ticket(person=cam, kind="first_aid", number="FA-1", actor=oscar, at=now)
    page = as_person(cam).get(reverse("jobs:me")).text
    assert "FA-1" in page
    assert "Take out of use" not in page


@pytest.mark.parametrize(
    ("day", "months", "later"),
    [
        (date(2026, 8, 31), 6, date(2027, 2, 28)),
        (date(2024, 2, 29), 12, date(2025, 2, 28)),
        (date(2026, 12, 5), 1, date(2027, 1, 5)),
        (date(2026, 1, 31), 24, date(2028, 1, 31)),
    ],
)
def test_months_end_on_a_day_that_exists(day, months, later):
    assert months_later(day, months) == later
