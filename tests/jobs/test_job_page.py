"""The whole job on one page, for each who may see it."""

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from jobs.domain.holds import Basis, Hold, Stops
from jobs.domain.roles import Role
from jobs.queries.holds import hold_rows, record_url
from jobs.services.jobs import set_dimensions
from tests.jobs.conftest import DIMS


def look(browser, job):
    return browser.get(reverse("jobs:job_detail", args=[job.pk]))


def panels(response):
    own = {"dimensions", "take-off", "sequence", "approvals", "materials"}
    own |= {"documents", "ledger"}
    return [p.key for p in response.context["panels"] if p.key in own]


def test_the_office_sees_everything_in_order(as_person, oscar, measured):
    response = look(as_person(oscar), measured)
    assert panels(response) == [
        "dimensions",
        "take-off",
        "sequence",
        "approvals",
        "materials",
        "documents",
        "ledger",
    ]
    for words in ("Change the job", "Set-out figures", "Both diagonals", "<svg"):
        assert words in response.text


def test_holds_say_who_clears_them_and_lead_to_the_record(as_person, oscar, measured):
    response = look(as_person(oscar), measured)
    approval = measured.approvals.first()
    assert "Stops all work on site" in response.text
    assert reverse("jobs:approval_detail", args=[approval.pk]) in response.text


def test_a_job_not_measured_asks_for_it(as_person, oscar, job):
    response = look(as_person(oscar), job)
    assert "The dimensions are not set" in response.text
    assert "take-off" not in panels(response)


@pytest.mark.parametrize("who", ["sal", "olive"])
def test_those_who_only_read_get_no_office_buttons(as_person, request, measured, who):
    response = look(as_person(request.getfixturevalue(who)), measured)
    assert response.status_code == 200
    for words in ("Change the job", "Close it", "Record what happened", "Change the m"):
        assert words not in response.text


def test_a_crew_member_on_the_job_sees_no_office_work(as_person, cam, measured):
    measured.site_lead = cam
    measured.save(update_fields=["site_lead"])
    response = look(as_person(cam), measured)
    assert panels(response) == ["dimensions", "take-off", "sequence", "documents"]
    assert "5550 0101" not in response.text


def test_strangers_find_nothing(as_person, lou, cam, gus, measured):
    for person in (lou, cam, gus):
        assert look(as_person(person), measured).status_code == 404


def test_tasks_the_dimensions_do_not_call_for_are_left_out(as_person, oscar, measured):
    tasks = next(
        panel.context["tasks"]
        for panel in look(as_person(oscar), measured).context["panels"]
        if panel.key == "sequence"
    )
    assert [view.number for view in tasks] == list(range(1, len(tasks) + 1))
    assert len(tasks) < measured.tasks.count()
    assert not any("footing" in view.task.name.lower() for view in tasks)


def queries(browser, job):
    with CaptureQueriesContext(connection) as caught:
        assert look(browser, job).status_code == 200
    return len(caught)


def test_the_queries_do_not_grow_with_other_jobs(as_person, oscar, make_job, now):
    first, browser = make_job(), as_person(oscar)
    set_dimensions(job=first, version=None, dimensions=DIMS, actor=oscar, at=now)
    queries(browser, first)
    alone = queries(browser, first)
    for n in range(29):
        make_job(f"Patio {n}")
    assert queries(browser, first) == alone


def test_a_record_without_a_page_has_no_link():
    assert record_url(("jobs.approval", 7)) == reverse("jobs:approval_detail", args=[7])
    assert record_url(("jobs.nothing", 7)) == ""
    assert record_url(None) == ""


def test_a_row_names_tasks_and_job(measured):
    task = measured.tasks.first()
    hold = Hold(
        rule="test.short",
        job_id=measured.pk,
        says="Posts are short.",
        stops=frozenset({Stops.TASKS}),
        cleared_by=frozenset({Role.OFFICE}),
        clear_by_doing="order more.",
        basis=Basis.FIRM,
        task_ids=frozenset({task.pk}),
    )
    (row,) = hold_rows([hold], {measured.pk: measured})
    assert row["tasks"] == [task.name]
    assert row["job"] == str(measured)
    assert row["says"] == "Posts are short."
