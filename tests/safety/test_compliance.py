"""Jobs by obligations: each cell met, open, breached or not needed, with its record."""

import codecs
import csv
import io
from datetime import date, timedelta
from uuid import uuid4

import pytest
import time_machine
from django.urls import reverse

from jobs.models import ApprovalKind, Job
from jobs.services.jobs import close_job
from safety.domain.obligations import CellState, Obligation, obligation_of
from safety.queries.compliance import columns, compliance_of, jobs_in, period
from safety.services.work import start_task, start_work
from tests.safety.conftest import MONDAY, check, issue, text_of
from tests.safety.test_measurements import measure, squared

AUGUST = date(2026, 8, 31)
HOUR = timedelta(hours=1)


def states(job, now, firm):
    (row,) = compliance_of([job], period(date(2026, 7, 1), AUGUST, now, firm))
    return {cell.obligation: cell.state for cell in row.cells}


def cell_of(job, column, now, firm):
    (row,) = compliance_of([job], period(date(2026, 7, 1), AUGUST, now, firm))
    return next(cell for cell in row.cells if cell.obligation is column)


def test_before_any_work_things_are_open_or_met(issued, booked, now, firm):
    found = states(booked, now, firm)
    assert found[Obligation.CERTIFICATE] is CellState.MET
    assert found[Obligation.COUNCIL] is CellState.NOT_NEEDED
    assert found[Obligation.STATEMENT] is CellState.MET
    assert found[Obligation.SIGN_ON] is CellState.OPEN
    assert found[Obligation.DAILY_CHECK] is CellState.OPEN
    assert found[Obligation.HOLD_POINTS] is CellState.NOT_NEEDED


def test_a_day_done_right_is_met_throughout(signed, booked, sal, cam, now, firm):
    check(booked, sal, now, here=[sal, cam])
    task = booked.tasks.exclude(spec__tickets=[]).first()
    measure(booked.tasks.get(key="set_out"), sal, now, squared(6848, 6850))
    start_task(task=task, actor=sal, at=now + HOUR, device_at=None)
    found = states(booked, now + 2 * HOUR, firm)
    for column in (
        Obligation.CERTIFICATE,
        Obligation.STATEMENT,
        Obligation.SIGN_ON,
        Obligation.DAILY_CHECK,
        Obligation.HOLD_POINTS,
        Obligation.TICKETS,
    ):
        assert found[column] is CellState.MET


def test_work_without_its_papers_is_breached_and_stays_so(
    booked, sal, oscar, now, firm
):
    start_work(
        job=booked,
        people=[sal],
        actor=sal,
        at=now,
        device_at=None,
        client_uid=uuid4(),
    )
    issue(booked, oscar, now + HOUR)
    found = states(booked, now + 2 * HOUR, firm)
    assert found[Obligation.STATEMENT] is CellState.BREACHED
    assert found[Obligation.DAILY_CHECK] is CellState.BREACHED
    cell = cell_of(booked, Obligation.STATEMENT, now + 2 * HOUR, firm)
    assert cell.says == "No statement is issued for this job yet."
    assert cell.breaches[0].work[0].who == "Sal Lead"


def test_a_job_handed_over_with_hold_points_not_passed_is_breached(
    signed, booked, sal, oscar, now, firm
):
    squared_up = booked.tasks.get(key="set_out")
    measure(squared_up, sal, now, squared(6848, 6850))
    close = {"job": booked, "note": "", "actor": oscar, "at": now + HOUR}
    close_job(how=Job.Closed.HANDED_OVER, reason="They move in.", **close)
    booked.refresh_from_db()
    cell = cell_of(booked, Obligation.HOLD_POINTS, now + 2 * HOUR, firm)
    assert cell.state is CellState.BREACHED
    assert {breach.what for breach in cell.breaches} == {"handed over (Oscar Office)"}
    records = {breach.hold.record for breach in cell.breaches}
    assert ("safety.hold_point", squared_up.pk) not in records
    assert "was never measured" in cell.says


def test_a_job_called_off_owes_no_hold_points(signed, booked, sal, oscar, now, firm):
    close = {"job": booked, "note": "", "actor": oscar, "at": now + HOUR}
    close_job(how=Job.Closed.CALLED_OFF, **close)
    booked.refresh_from_db()
    assert states(booked, now + 2 * HOUR, firm)[Obligation.HOLD_POINTS] is (
        CellState.NOT_NEEDED
    )


def test_a_period_before_it_happened_does_not_show_it(booked, sal, now, firm):
    start_work(
        job=booked,
        people=[sal],
        actor=sal,
        at=now,
        device_at=None,
        client_uid=uuid4(),
    )
    july = period(date(2026, 7, 1), date(2026, 7, 31), now, firm)
    (row,) = compliance_of([booked], july)
    assert CellState.BREACHED not in {cell.state for cell in row.cells}


def test_jobs_of_a_period_are_those_open_in_it(booked, make_job, now, firm):
    early = period(date(2026, 1, 1), date(2026, 1, 31), now, firm)
    today = period(MONDAY, MONDAY, now, firm)
    jobs = type(booked).objects.all()
    assert list(jobs_in(jobs, early)) == []
    assert list(jobs_in(jobs, today)) == [booked]


def test_other_approvals_have_a_column_only_when_there_are_any(library):
    assert Obligation.OTHER_APPROVALS not in columns()
    ApprovalKind.objects.create(key="strata", name="Strata consent", given_by="Strata")
    assert Obligation.OTHER_APPROVALS in columns()


@pytest.mark.parametrize(
    ("rule", "column"),
    [
        ("approval.engineer", Obligation.CERTIFICATE),
        ("approval.strata", Obligation.OTHER_APPROVALS),
        ("statement.stale", Obligation.STATEMENT),
        ("hold_point.diagonals", Obligation.HOLD_POINTS),
        ("crew.ticket.dogging_licence", Obligation.TICKETS),
        ("crew.too_few", Obligation.OTHER),
        ("delivery.short", Obligation.DELIVERY),
    ],
)
def test_every_hold_speaks_of_one_obligation(rule, column):
    assert obligation_of(rule) is column


# --- pages -----------------------------------------------------------------


@pytest.fixture
def breached(booked, sal, now, morning):
    """Sal started work with nothing issued and nothing checked."""
    start_work(
        job=booked,
        people=[sal],
        actor=sal,
        at=now,
        device_at=None,
        client_uid=uuid4(),
    )
    return booked


def test_the_owner_sees_the_table_and_the_record_behind_a_cell(breached, olive, page):
    assert "Breached" in text_of(page(olive, "safety:compliance"))
    response = page(olive, "safety:compliance_cell", breached.pk, "statement")
    words = text_of(response)
    assert "No statement is issued for this job yet." in words
    assert "started work (Sal Lead)" in words
    assert f"/jobs/{breached.pk}/day/2026-08-03/" in response.text


def test_a_cell_that_is_not_there_is_not_found(breached, olive, page):
    assert page(olive, "safety:compliance_cell", breached.pk, "luck").status_code == 404
    assert page(olive, "safety:compliance_cell", 0, "statement").status_code == 404


def test_breaches_are_listed_with_the_day(breached, olive, page):
    words = text_of(page(olive, "safety:breaches"))
    assert "Mon 3 Aug 2026, 10:00 a.m." in words
    assert "1001 Patio" in words


def test_a_breach_of_a_past_day_is_told_as_of_that_day(breached, olive, page, now):
    with time_machine.travel(now + timedelta(days=2), tick=False):
        response = page(olive, "safety:breaches")
        home = text_of(page(olive, "home"))
        cell = page(olive, "safety:compliance_cell", breached.pk, "statement")
        csv_rows = rows_of(page(olive, "safety:breaches_csv"))
    words, later = text_of(response), "On that day: the hazard check was not done."
    assert later in words
    assert later in home
    assert "Today's hazard check" not in words + home
    assert "On that day: No statement is issued for this job yet." in text_of(cell)
    assert later in {row["What was open"] for row in csv_rows}
    day = reverse("safety:site_day", args=[breached.pk, "2026-08-03"])
    assert f'<a href="{day}">The record behind it</a>' in response.text


def test_a_breach_of_today_is_told_as_it_is(breached, olive, page):
    assert "Today's hazard check is not done." in text_of(
        page(olive, "safety:breaches")
    )


def rows_of(response):
    body = b"".join(response.streaming_content)
    assert body.startswith(codecs.BOM_UTF8)
    return list(csv.DictReader(io.StringIO(body.decode("utf-8-sig"))))


def test_both_lists_come_as_csv_with_iso_dates(breached, olive, page):
    table = rows_of(page(olive, "safety:compliance_csv"))
    states = {row["Obligation"]: row["State"] for row in table}
    assert states["Statement issued"] == "Breached"
    assert table[0]["To"] == "2026-08-03"
    breaches = rows_of(page(olive, "safety:breaches_csv"))
    assert breaches[0]["Day"] == "2026-08-03"
    assert breaches[0]["First time"] == "2026-08-03T10:00+10:00"


def test_what_a_spreadsheet_would_run_is_disarmed(breached, olive, page):
    breached.title = "=HYPERLINK(1)"
    breached.save(update_fields=["title"])
    assert rows_of(page(olive, "safety:compliance_csv"))[0]["Title"] == "'=HYPERLINK(1)"


@pytest.mark.parametrize(
    "query",
    [
        "?first=2026-08-09&last=2026-08-01",
        "?first=x",
        "?last=2030-01-01&first=2020-01-01",
    ],
)
def test_a_period_that_makes_no_sense_shows_this_month(breached, olive, page, query):
    response = page(olive, "safety:compliance", query=query)
    assert response.status_code == 200
    assert response.context["span"].first == date(2026, 8, 1)


@pytest.mark.parametrize("name", ["compliance", "breaches"])
def test_a_search_that_cannot_be_does_not_speak_of_saving(olive, library, page, name):
    query = "?first=2026-08-09&last=2026-08-01"
    words = text_of(page(olive, f"safety:{name}", query=query))
    assert "We cannot search for that" in words
    assert "The period ends before it begins." in words
    assert "saved" not in words


@pytest.mark.parametrize(
    "name", ["compliance", "compliance_csv", "breaches", "breaches_csv"]
)
def test_only_the_owner_looks_at_compliance(breached, page, name, request):
    for who in ("oscar", "sal", "cam", "gus"):
        person = request.getfixturevalue(who)
        assert page(person, f"safety:{name}").status_code == 403
