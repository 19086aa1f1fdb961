"""The toolbox talk of a day: what it says, on one page, for whom."""

import io
import json
from datetime import date, timedelta
from uuid import uuid4

import pikepdf
import pypdf
import pytest
from django.urls import reverse

from jobs.domain.refusals import Refused
from jobs.domain.roles import Role
from jobs.models import BackgroundRun, Job, RenderedFile
from jobs.services.clients import edit_site
from jobs.services.people import add_person
from safety.documents import one_page, toolbox_html
from safety.queries.toolbox import made_talk, toolbox_of
from safety.services.toolbox import make_talk
from safety.services.work import finish_task, start_work
from tests.safety.conftest import MONDAY, issue, text_of
from tests.safety.largest import LARGEST, SITES

pytestmark = [
    pytest.mark.usefixtures("morning"),
    pytest.mark.filterwarnings("ignore::DeprecationWarning:pypdf"),
]
TUESDAY = MONDAY + timedelta(days=1)


def fresh(job):
    return Job.objects.select_related("site", "client", "site_lead").get(pk=job.pk)


def printed(job, at, day=MONDAY):
    with make_talk(job=fresh(job), day=day, at=at).file.open("rb") as file:
        return file.read()


def words_of(data):
    pages = pypdf.PdfReader(io.BytesIO(data)).pages
    return [" ".join(page.extract_text().split()) for page in pages]


def test_it_says_who_where_and_what_to_do_first(issued, booked, now):
    (words,) = words_of(printed(booked, now))
    for said in (
        "Toolbox talk, Mon 3 Aug 2026",
        "Job 1001: Patio",
        "Call 000",
        "1 Short Street, Testfield",
        "First aid: Sal Lead",
        "What can hurt us most today",
        "Cam Crew",
        "does not sign anybody on to the statement",
        "Page 1 of 1",
    ):
        assert said in words


def test_it_tells_the_steps_hazards_and_hold_points_of_that_day(issued, booked, now):
    found = one_page(toolbox_of(fresh(booked), MONDAY, now))
    (words,) = words_of(printed(booked, now))
    steps = {step["position"]: step["name"] for step in issued.content["steps"]}
    assert found["tasks"]
    for task in found["tasks"]:
        assert steps[task["number"]] == task["name"]
        assert f"{task['number']} {task['name']}" in words
    for one in found["hazards"]:
        assert one["name"] in words
        assert all(control["text"] in words for control in one["controls"])
    assert "Both diagonals are equal" in words


def test_every_step_of_a_day_of_many_steps_is_listed(issued, booked, now):
    booked.tasks.filter(position__lte=12).update(started_at=now)
    found = one_page(toolbox_of(fresh(booked), MONDAY, now))
    (words,) = words_of(printed(booked, now))
    assert len(found["tasks"]) > 8
    assert found["more_tasks"] == 0
    assert all(f"{one['number']} {one['name']}" in words for one in found["tasks"])
    listed = {one["number"] for one in found["tasks"]}
    assert all(set(one["steps"]) <= listed for one in found["hazards"])


def test_wind_limits_stand_once_with_their_steps_in_both_units(issued, booked, now):
    found = toolbox_of(fresh(booked), MONDAY, now).content
    limits = [row["limit"] for row in found["wind"]]
    assert limits
    assert limits == list(dict.fromkeys(limits))
    assert all(row["steps"] for row in found["wind"])
    assert "10.0 m/s (36 km/h)" in limits


def test_it_is_tagged_archival_and_carries_what_it_says(issued, booked, now):
    pdf = pikepdf.open(io.BytesIO(printed(booked, now)))
    assert pdf.Root.MarkInfo.Marked
    assert str(pdf.Root.Lang) == "en-AU"
    metadata = pdf.open_metadata()
    assert (metadata["pdfaid:part"], metadata["pdfaid:conformance"]) == ("3", "A")
    carried = json.loads(pdf.attachments["toolbox.json"].get_file().read_bytes())
    assert carried == one_page(toolbox_of(fresh(booked), MONDAY, now))


def test_the_same_talk_is_made_once_though_steps_get_done(issued, booked, now):
    first = make_talk(job=fresh(booked), day=MONDAY, at=now)
    task = booked.tasks.get(position=1)
    finish_task(task=task, actor=booked.site_lead, at=now, device_at=None)
    later = now + timedelta(minutes=1)
    assert made_talk(toolbox_of(fresh(booked), MONDAY, later)) == first
    assert RenderedFile.objects.filter(kind=first.kind).count() == 1


def test_another_day_is_another_page(issued, booked, now):
    monday = toolbox_of(fresh(booked), MONDAY, now)
    tuesday = toolbox_of(fresh(booked), TUESDAY, now)
    assert monday.digest != tuesday.digest


def test_a_past_day_tells_of_what_was_done_then(issued, booked, now):
    task = booked.tasks.get(position=1)
    finish_task(task=task, actor=booked.site_lead, at=now, device_at=None)
    found = toolbox_of(fresh(booked), MONDAY, now + timedelta(days=2)).content
    assert [one["name"] for one in found["tasks"]] == [task.name]


def test_without_a_statement_in_force_there_is_none(booked, now):
    with pytest.raises(Refused, match="No statement is in force"):
        toolbox_of(fresh(booked), MONDAY, now)


def test_on_a_day_on_which_nothing_was_done_there_is_none(issued, booked, now):
    with pytest.raises(Refused, match="Nothing is left to do"):
        toolbox_of(fresh(booked), MONDAY, now + timedelta(days=2))


def test_when_nobody_may_give_first_aid_it_says_so(issued, booked, sal, now):
    sal.tickets.filter(kind="first_aid").update(expires_on=date(2026, 8, 2))
    found = toolbox_of(fresh(booked), MONDAY, now)
    assert found.content["first_aiders"] == []
    assert "Sort that out before work starts" in toolbox_html(found, one_page(found))


def test_whoever_sees_the_job_may_have_it_made(
    issued, booked, cam, page, django_capture_on_commit_callbacks
):
    with django_capture_on_commit_callbacks(execute=True):
        response = page(cam, "safety:talk_make", booked.pk, "2026-08-03", data={})
    run = BackgroundRun.objects.get()
    assert response.url == reverse("jobs:run_detail", args=[run.pk])
    url = f"/jobs/{booked.pk}/day/2026-08-03/talk.pdf"
    assert (run.state, run.result_url) == ("done", url)
    file = page(cam, "safety:talk_pdf", booked.pk, "2026-08-03")
    assert b"".join(file.streaming_content).startswith(b"%PDF-1.7")


def test_nobody_else_may(issued, booked, lou, page):
    day = (booked.pk, "2026-08-03")
    assert page(lou, "safety:talk_make", *day, data={}).status_code == 404
    assert page(lou, "safety:talk_pdf", *day).status_code == 404


def test_before_it_is_made_the_day_says_where_to_ask(issued, booked, cam, page):
    response = page(cam, "safety:talk_pdf", booked.pk, "2026-08-03")
    assert response.url == f"/jobs/{booked.pk}/day/2026-08-03/"
    words = text_of(page(cam, "safety:site_day_detail", booked.pk))
    assert "The toolbox talk is not made yet" in words
    assert "Make the toolbox talk" in words


def test_without_a_statement_the_day_says_why_there_is_none(booked, sal, page):
    assert "toolbox" not in text_of(page(sal, "safety:site_day_detail", booked.pk))
    response = page(sal, "safety:talk_make", booked.pk, "2026-08-03", data={})
    assert response.status_code == 302
    words = text_of(page(sal, "safety:site_day_detail", booked.pk))
    assert "No statement is in force on this job" in words


def test_a_day_that_does_not_exist_has_no_talk(issued, booked, sal, page):
    assert page(sal, "safety:talk_pdf", booked.pk, "2026-02-30").status_code == 404


@pytest.mark.parametrize("method", LARGEST)
def test_it_is_one_page_for_the_largest_of_every_structure_with_all_its_steps(
    make_job, site, blue, book, oscar, before, now, method
):
    values = SITES[method] | {
        "address": "Lot 1234, 1234 Very Long Road of the Old Quarry and the Mill",
        "building_year": 1968,
        "existing_roof": "fibre_cement",
        "overhead_line": True,
        "overhead_line_distance_m": 5.0,
        "near_traffic": True,
        "buried_services_known": None,
    }
    edit_site(site=site, version=site.version, values=values, actor=oscar, at=before)
    site.refresh_from_db()
    job = make_job("A title of some length", method=method, dims=LARGEST[method])
    book(job, blue)
    issue(job, oscar, before)
    job.tasks.update(started_at=now)  # all of them count as today's
    (words,) = words_of(printed(job, now))
    assert "more hazards of today stand in the statement" in words
    deadly = [
        x for x in toolbox_of(fresh(job), MONDAY, now).content["hazards"] if x["deadly"]
    ]
    assert deadly
    assert all(one["name"] in words for one in deadly)


def test_a_large_crew_and_a_long_address_still_fit(
    issued, booked, site, oscar, before, now
):
    site.address = "Lot 1234, 1234 Very Long Road of the Old Quarry and the Mill"
    site.save(update_fields=["address"])
    for number in range(12):
        person = add_person(
            name=f"Person of a Long Name {number}",
            email=None,
            roles=[Role.CREW],
            actor=oscar,
            at=before,
        )
        start_work(
            job=booked,
            people=[person],
            actor=booked.site_lead,
            at=now,
            device_at=None,
            client_uid=uuid4(),
        )
    (words,) = words_of(printed(booked, now))
    assert "Person of a Long Name 0" in words
    assert "more are here: they sign on the back" in words
