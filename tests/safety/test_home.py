"""The first page answers each person's first question."""

import html
import re
from datetime import date, timedelta
from uuid import uuid4

import pytest
from django.db import connection, transaction
from django.test.utils import CaptureQueriesContext

from jobs.domain.roles import Role
from jobs.services.people import set_roles
from safety.models import DailyCheck
from safety.services.work import start_work
from scheduling.services.deliveries import order_delivery
from scheduling.services.lost_days import cancel_lost_day, record_lost_day
from scheduling.services.plan_head import advance, lock_head
from scheduling.services.suppliers import add_supplier
from tests.safety.conftest import MONDAY, check, text_of

TUESDAY = date(2026, 8, 4)
NO_GO = DailyCheck.Outcome.NO_GO

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
    assert "2 of 2 open jobs are held" in words
    assert "for the office to clear" in words


def held(response):
    """Jobs of the first page with the rules of what holds each."""
    return [
        (one.job.title, [row["rule"] for row in rows])
        for one, rows in response.context["held"]
    ]


def test_each_held_job_stands_once_with_all_that_holds_it(
    booked, make_job, oscar, page
):
    make_job("Carport", approved=False)
    titles = [title for title, _ in held(page(oscar, "home"))]
    assert titles == ["Patio", "Carport"]  # what is booked first, then the rest
    rules = dict(held(page(oscar, "home")))
    assert {"approval.engineer", "approval.council"} <= set(rules["Carport"])


def test_what_is_not_booked_stands_by_its_promised_day(make_job, oscar, page):
    for title, day in (("Later", 20), ("Sooner", 10), ("Never", None)):
        job = make_job(title, approved=False)
        job.promised_on = day and date(2026, 8, day)
        job.save(update_fields=["promised_on"])
    response = page(oscar, "home")
    assert [title for title, _ in held(response)] == ["Sooner", "Later", "Never"]
    assert "Not booked, promised by Mon 10 Aug 2026" in text_of(response)


def test_a_no_go_comes_before_all_and_stands_once(
    booked, make_job, sal, now, oscar, page
):
    make_job("Carport", approved=False)
    check(booked, sal, now, here=[sal], outcome=NO_GO, note="Gusts on the roof")
    response = page(oscar, "home")
    assert response.context["held"][0][0].no_go
    assert text_of(response).count("Gusts on the roof") == 2  # once with its link
    assert "No go today Booked today" in text_of(response)


def test_a_hold_says_what_to_do_and_links_to_where_it_is_done(make_job, oscar, page):
    make_job("Carport", approved=False)
    words = text_of(page(oscar, "home"))
    assert (
        "Engineer's certificate is not lodged yet. The existing building must be shown "
        "to carry the new load. Stops all work on site. office clears it: "
        "lodge it and record the day."
    ) in words
    assert "Open the approval" in words


def test_the_first_page_asks_as_often_for_3_jobs_as_for_30(make_job, oscar, page):
    def count():
        with CaptureQueriesContext(connection) as caught:
            page(oscar, "home")
        return len(caught)

    for n in range(3):
        make_job(f"Patio {n}", approved=False)
    count()  # what is read once a process, is read now
    few = count()
    for n in range(3, 30):
        make_job(f"Patio {n}", approved=False)
    assert count() == few


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
    assert "Fri 31 Jul 2026, morning for 1001 Patio Late" in words


def test_the_site_lead_sees_whether_to_start_and_what_to_sign(
    issued, booked, sal, page
):
    response = page(sal, "home")
    words = text_of(response)
    assert "May we start?" in words
    assert "Not yet What is missing can be done here and now." in words
    assert [one.pk for one in response.context["to_sign"]] == [issued.pk]


def test_when_all_is_in_order_the_site_lead_reads_yes(
    signed, booked, sal, cam, now, page
):
    check(booked, sal, now, here=[sal, cam])
    words = text_of(page(sal, "home"))
    assert "Yes The check says go." in words
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


def test_a_day_called_off_says_so_until_a_new_plan_is_there(
    booked, sal, oscar, now, page
):
    lost = record_lost_day(
        day=MONDAY, job=booked, reason="rain all day", actor=sal, at=now
    )
    words = text_of(page(sal, "home"))
    assert "Called off: rain all day; a new plan is to come" in words
    with transaction.atomic():
        advance(lock_head(), actor=oscar, at=now + timedelta(minutes=1))
    words = text_of(page(sal, "home"))
    assert "Called off: rain all day" in words
    assert "a new plan is to come" not in words
    cancel_lost_day(lost=lost, actor=oscar, at=now)
    assert "Called off" not in text_of(page(sal, "home"))


def test_a_day_without_its_approvals_is_pencilled(
    booked, make_job, blue, book, sal, page
):
    assert "Pencilled" not in text_of(page(sal, "home"))
    carport = make_job("Carport", approved=False)
    book(carport, blue, TUESDAY, TUESDAY)
    words = text_of(page(sal, "home"))
    assert words.count("Pencilled") == 1
    assert words.index("Carport") < words.index("Pencilled")


@pytest.fixture
def last_months_breach(booked, sal, now):
    """Work was begun on Friday, in July, without a check."""
    start_work(
        job=booked,
        people=[sal],
        actor=sal,
        at=now - timedelta(days=3),
        device_at=None,
        client_uid=uuid4(),
    )


def test_last_months_breach_is_not_this_months(last_months_breach, olive, page):
    words = text_of(page(olive, "home"))
    assert "Nothing this month 2 breaches in the last 90 days." in words


def test_all_breaches_leads_to_the_days_that_were_counted(
    last_months_breach, olive, page, client
):
    home = page(olive, "home").text
    (there,) = re.findall(r'href="([^"]+)">All breaches<', home)
    shown = client.get(html.unescape(there))
    assert len(shown.context["rows"]) == 2


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
