"""The plan of crews by half-days."""

from datetime import date, timedelta

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from jobs.models import Job
from jobs.services.jobs import close_job
from scheduling.queries.plan_grid import plan_grid
from scheduling.services.absences import add_closure, record_absence
from tests.scheduling.plans import draft_of, publish, slot

MONDAY, TUESDAY, WEDNESDAY, THURSDAY, FRIDAY = (date(2026, 8, d) for d in range(3, 8))


@pytest.fixture
def places(job, blue):
    return {(job.pk, 1): (blue, slot(TUESDAY), slot(WEDNESDAY, "pm"))}


def cells(grid, crew, draft=False):
    (row,) = [row for row in grid.rows if row.crew == crew]
    shown = row.draft_cells if draft else row.cells
    return [(cell.kind, cell.span, cell.why) for cell in shown if cell.kind != "free"]


def test_a_booking_is_one_cell_of_its_half_days(places, firm, blue, red, oscar, now):
    publish(places, oscar, now)
    grid = plan_grid(firm, MONDAY, 1, now)
    assert cells(grid, blue) == [("booking", 4, "")]
    assert cells(grid, red) == []
    assert sum(cell.span for cell in grid.rows[0].cells) == 10
    assert [day.is_today for day in grid.days] == [True, False, False, False, False]


def test_closed_days_and_absences_are_said(places, firm, blue, kim, oscar, now):
    publish(places, oscar, now)
    add_closure(from_on=FRIDAY, to_on=FRIDAY, reason="Fair", actor=oscar, at=now)
    record_absence(
        person=kim,
        from_on=WEDNESDAY,
        to_on=THURSDAY,
        reason="Leave",
        actor=oscar,
        at=now,
    )
    grid = plan_grid(firm, MONDAY, 1, now)
    assert cells(grid, blue) == [
        ("booking", 4, ""),
        ("away", 2, "Kim away"),
        ("closed", 2, "Fair"),
    ]
    booked = next(cell for cell in grid.rows[0].cells if cell.view)
    assert booked.notes == ("Kim away",)


def test_a_public_holiday_has_its_name(firm, blue, now):
    grid = plan_grid(firm, date(2026, 10, 5), 1, now)
    assert cells(grid, blue) == [("closed", 2, "Labour Day")]


def test_a_draft_stands_under_the_plan(places, firm, job, blue, oscar, now):
    publish(places, oscar, now)
    places[job.pk, 1] = (blue, slot(THURSDAY), slot(FRIDAY, "pm"))
    grid = plan_grid(firm, MONDAY, 1, now, draft_of(places, oscar, now))
    assert cells(grid, blue, draft=True) == [("booking", 4, "")]
    (change,) = grid.changes
    assert change.says == "Moves 2 working days later"


def test_a_closed_job_leaves_the_plan(places, firm, job, blue, oscar, now):
    publish(places, oscar, now)
    close_job(job=job, how=Job.Closed.CALLED_OFF, note="", actor=oscar, at=now)
    assert cells(plan_grid(firm, MONDAY, 1, now), blue) == []


def test_many_jobs_cost_no_more_queries(
    make_job, blue, red, oscar, client, time_machine, now
):
    time_machine.move_to(now)
    client.force_login(oscar)
    days = [TUESDAY + timedelta(days=n) for n in (0, 1, 2, 6, 7)]
    counts = set()
    for some in (1, 10):
        jobs = [make_job(f"Patio {n}") for n in range(some)]
        spots = [(crew, day) for crew in (blue, red) for day in days]
        places = {
            (job.pk, 1): (crew, slot(day), slot(day, "pm"))
            for job, (crew, day) in zip(jobs, spots, strict=False)
        }
        publish(places, oscar, now)
        draft_of(places, oscar, now)
        with CaptureQueriesContext(connection) as asked:
            page = client.get(reverse("scheduling:plan"))
        assert len(page.context["grid"].bookings) == some
        counts.add(len(asked))
    assert len(counts) == 1


def test_the_page_goes_week_by_week(places, client, oscar, time_machine, now):
    time_machine.move_to(now)
    publish(places, oscar, now)
    client.force_login(oscar)
    page = client.get(reverse("scheduling:plan"), {"weeks": 1})
    assert b"1001 Patio" in page.content
    assert page.context["later"] == date(2026, 8, 10)
    later = client.get(reverse("scheduling:plan"), {"start": "2026-08-10", "weeks": 1})
    assert b"1001 Patio" not in later.content
    nonsense = client.get(reverse("scheduling:plan"), {"start": "x", "weeks": "900"})
    assert nonsense.context["first"] == MONDAY


@pytest.mark.parametrize(
    "asked", [{"weeks": 2}, {"start": "2026-08-03"}, {"weeks": "", "start": ""}]
)
def test_two_weeks_is_what_it_shows_by_itself(blue, client, oscar, asked):
    client.force_login(oscar)
    page = client.get(reverse("scheduling:plan"), asked)
    assert page.context["weeks"] == 2


@pytest.mark.parametrize("start", ["9999-12-31", "0001-01-01", "1899-12-31"])
def test_a_day_that_no_firm_means_shows_this_week(blue, client, oscar, start, now):
    client.force_login(oscar)
    usual = client.get(reverse("scheduling:plan"))
    page = client.get(reverse("scheduling:plan"), {"start": start})
    assert page.status_code == 200
    assert page.context["first"] == usual.context["first"]


@pytest.fixture
def office(client, oscar, time_machine, now):
    time_machine.move_to(now)
    client.force_login(oscar)
    return client


@pytest.mark.parametrize("day", ["9999-12-31", "0001-01-01"])
def test_no_page_falls_over_a_day_that_no_firm_means(
    office, places, job, blue, kim, oscar, now, day
):
    publish(places, oscar, now)
    visit = job.visits.get(ordinal=1)
    spot = {"crew": blue.pk, "start_on": day, "start_half": "am"}
    looked = office.get(reverse("scheduling:visit_move", args=[visit.pk]), spot)
    assert looked.status_code == 200
    why = reverse("scheduling:job_explained", args=[job.pk])
    asked = office.get(why, {"day": day, "half": "am"})
    assert "Give a day from 1900 to 2100." in asked.content.decode()
    days = {"from_on": day, "to_on": day, "day": day, "reason": "x"}
    typed = days | spot | {"person": kim.pk, "crew": "", "based_on": 1}
    for name in ("absence_add", "closure_add", "lostday_add"):
        answer = office.post(reverse(f"scheduling:{name}"), typed)
        assert answer.status_code == 422
    book = reverse("scheduling:visit_book", args=[visit.pk])
    assert office.post(book, typed | {"crew": blue.pk}).status_code == 422


@pytest.mark.parametrize("day", ["1900-01-01", "2100-12-31"])
def test_the_plan_opens_at_both_ends_of_what_may_be_asked(blue, client, oscar, day):
    client.force_login(oscar)
    asked = {"start": day, "weeks": 6}
    assert client.get(reverse("scheduling:plan"), asked).status_code == 200
