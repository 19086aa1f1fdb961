"""The first page answers each person's first question."""

from datetime import date, timedelta
from uuid import uuid4

import pytest

from jobs.domain.roles import Role
from jobs.services.people import set_roles
from safety.services.work import start_work
from scheduling.services.deliveries import order_delivery
from scheduling.services.suppliers import add_supplier
from tests.safety.conftest import check, text_of

pytestmark = pytest.mark.usefixtures("morning")


def test_the_office_sees_what_stops_which_job_and_what_to_chase(
    booked, make_job, oscar, page
):
    make_job("Carport", approved=False)
    response = page(oscar, "home")
    words = text_of(response)
    assert "What stops which job" in words
    assert "No statement is issued for this job yet." in words
    assert [row.view.approval.job.title for row in response.context["chase"]] == [
        "Carport",
        "Carport",
    ]
    first = response.context["groups"][0]
    assert first[0].role == "office"
    assert first[0].holds[0].job_id == booked.pk  # the one booked soonest


def test_the_office_sees_loads_that_are_due(booked, oscar, page, before):
    line = booked.bom_lines.create(position=1, description="Sheets", quantity=9)
    supplier = add_supplier(values={"name": "Sheets Ltd"}, actor=oscar, at=before)
    order_delivery(
        job=booked,
        values={"supplier": supplier, "due_on": date(2026, 7, 31), "due_half": "am"},
        amounts={line.pk: 9},
        actor=oscar,
        at=before,
    )
    words = text_of(page(oscar, "home"))
    assert "Fri 31 Jul 2026, morning Late" in words


def test_the_site_lead_sees_whether_to_start_and_what_to_sign(
    issued, booked, sal, page
):
    response = page(sal, "home")
    words = text_of(response)
    assert "May we start?" in words
    assert "2 things stop all work" in words
    assert [one.pk for one in response.context["to_sign"]] == [issued.pk]


def test_when_all_is_in_order_the_site_lead_reads_yes(
    signed, booked, sal, cam, now, page
):
    check(booked, sal, now, here=[sal, cam])
    words = text_of(page(sal, "home"))
    assert "Yes Nothing stops work." in words
    assert "What you sign" not in words


def test_a_lead_without_work_today_is_told_so(booked, lou, page):
    assert "None of your jobs is booked today." in text_of(page(lou, "home"))


def test_a_crew_member_sees_their_days_and_what_to_sign(issued, booked, cam, page):
    response = page(cam, "home")
    assert "Mon 3 Aug 2026 Today all day 1001 Patio" in text_of(response)
    assert "Version 1 not signed" in text_of(response)
    assert "May we start?" not in text_of(response)


def test_the_owner_sees_what_went_ahead_wrongly(booked, sal, olive, now, page):
    assert "Nothing in 90 days" in text_of(page(olive, "home"))
    start_work(
        job=booked,
        people=[sal],
        actor=sal,
        at=now,
        device_at=None,
        client_uid=uuid4(),
    )
    words = text_of(page(olive, "home"))
    assert "2 breaches this month" in words
    assert "What holds jobs now" in words


def test_last_months_breach_is_not_this_months(booked, sal, olive, now, page):
    start_work(
        job=booked,
        people=[sal],
        actor=sal,
        at=now - timedelta(days=3),
        device_at=None,
        client_uid=uuid4(),
    )
    words = text_of(page(olive, "home"))
    assert "Nothing this month 2 breaches in the last 90 days." in words


def test_somebody_with_every_part_sees_every_section(booked, sal, olive, now, page):
    everything = set_roles(
        person=sal,
        version=sal.version,
        roles=list(Role),
        actor=olive,
        at=now,
    )
    words = text_of(page(everything, "home"))
    places = [
        words.index(title)
        for title in (
            "May we start?",
            "Your next days",
            "What went ahead that should not have",
            "What stops which job",
        )
    ]
    assert places == sorted(places)


def test_somebody_with_no_part_is_told_whom_to_ask(gus, page):
    assert "Ask the owner to give you one" in text_of(page(gus, "home"))
