"""The job list: who sees what, filters, pages, a fixed number of queries."""

from datetime import date

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from jobs.models import Job
from jobs.queries.job_list import Stage, stages_at
from jobs.services.jobs import close_job

URL = "/jobs/"


def titles(browser, **asked):
    return {row.job.title for row in browser.get(URL, asked).context["rows"]}


@pytest.fixture
def two(make_job, lou):
    """A job of Sal's and a carport of Lou's."""
    return make_job("Flat patio"), make_job(
        "Carport", "freestanding_flat", site_lead=lou
    )


def test_the_office_sees_all_and_a_lead_their_own(as_person, oscar, sal, cam, two):
    assert titles(as_person(oscar)) == {"Flat patio", "Carport"}
    assert titles(as_person(sal)) == {"Flat patio"}
    assert "No jobs of yours" in as_person(cam).get(URL).text


def test_a_row_says_what_the_office_asks_first(as_person, oscar, job):
    page = as_person(oscar).get(URL).text
    for words in ("1001 Flat patio", "Merrin Vale", "Sal Lead", "To be measured"):
        assert words in page
    assert "The dimensions are not set" in page


@pytest.mark.parametrize(
    ("asked", "found"),
    [
        ({"q": "carport"}, {"Carport"}),
        ({"q": "1001"}, {"Flat patio"}),
        ({"q": "rowan flat"}, {"Flat patio"}),
        ({"q": "tamarind"}, {"Flat patio", "Carport"}),
        ({"show": "closed"}, set()),
        ({"held": "held"}, {"Flat patio", "Carport"}),
        ({"held": "free"}, set()),
        ({"stage": "MEASURE"}, {"Flat patio", "Carport"}),
        ({"stage": "ON_SITE"}, set()),
        ({"stage": "nonsense"}, {"Flat patio", "Carport"}),
        ({"page": "99"}, {"Flat patio", "Carport"}),
    ],
)
def test_filters(as_person, oscar, two, asked, found):
    assert titles(as_person(oscar), **asked) == found


def test_by_lead(as_person, oscar, two, lou):
    assert titles(as_person(oscar), lead=lou.pk) == {"Carport"}


def test_closed_jobs_are_shown_on_request(as_person, oscar, two, now):
    close_job(job=two[0], how=Job.Closed.CALLED_OFF, note="", actor=oscar, at=now)
    browser = as_person(oscar)
    assert titles(browser) == {"Carport"}
    assert titles(browser, show="closed") == {"Flat patio"}
    assert titles(browser, show="all") == {"Flat patio", "Carport"}


def test_the_first_to_be_finished_comes_first(as_person, oscar, make_job):
    make_job("Wanted", wanted_on=date(2026, 9, 1))
    make_job("Promised", promised_on=date(2026, 8, 20), wanted_on=date(2026, 10, 1))
    make_job("Whenever")
    rows = as_person(oscar).get(URL).context["rows"]
    assert [row.job.title for row in rows] == ["Promised", "Wanted", "Whenever"]


def test_stages_follow_the_work(measured, now):
    def stage():
        return stages_at([measured], now)[measured.pk]

    assert stage() is Stage.APPROVALS
    measured.approvals.update(required=False, not_required_reason="Exempt")
    assert stage() is Stage.READY
    measured.tasks.filter(position=1).update(started_at=now)
    assert stage() is Stage.ON_SITE
    last = measured.tasks.order_by("-position").first()
    measured.tasks.filter(pk=last.pk).update(done_at=now)
    assert stage() is Stage.BUILT


def test_long_lists_page(as_person, oscar, make_job):
    for n in range(27):
        make_job(f"Patio {n}")
    page = as_person(oscar).get(URL, {"q": "patio"}).text
    assert "Page 1 of 2, 27 in all" in page
    assert "?q=patio&amp;page=2" in page


def queries(browser, **asked):
    with CaptureQueriesContext(connection) as caught:
        assert browser.get(URL, asked).status_code == 200
    return len(caught)


@pytest.mark.parametrize("asked", [{}, {"held": "held"}, {"stage": "MEASURE"}])
def test_the_same_queries_for_3_jobs_and_for_30(as_person, oscar, make_job, asked):
    for n in range(3):
        make_job(f"Patio {n}")
    browser = as_person(oscar)
    queries(browser, **asked)  # what is read once a process
    few = queries(browser, **asked)
    for n in range(27):
        make_job(f"Patio {n + 3}")
    assert queries(browser, **asked) == few
