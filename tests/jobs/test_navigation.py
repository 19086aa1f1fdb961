"""Where each person may go, and what a page knows about them."""

import pytest
from django.urls import reverse

from jobs.context import _OWN_PLACES, _PLACES


def places(browser):
    response = browser.get(reverse("jobs:me"))
    return {place["label"] for place in response.context["nav"]}


def test_every_place_has_a_page():
    for _, name, _ in _PLACES:
        assert reverse(name)
    for _, name, _ in _OWN_PLACES:
        assert reverse(name)


def test_the_office_and_a_crew_member_see_their_own(as_person, oscar, cam):
    office, crew = places(as_person(oscar)), places(as_person(cam))
    assert {"Jobs", "To chase", "Clients", "People"} <= office
    assert "Ledger" not in office
    assert crew <= {"Today", "Jobs"}


def test_the_owner_sees_the_ledger_and_the_firm(as_person, olive):
    assert {"Ledger", "Firm", "People"} <= places(as_person(olive))


def test_a_template_may_ask_what_a_person_can_do(as_person, oscar):
    can = as_person(oscar).get(reverse("jobs:me")).context["can"]
    assert can["edit_jobs"] is True
    assert can["edit_roles"] is False


def test_the_place_one_is_at_is_marked(as_person, oscar):
    nav = as_person(oscar).get(reverse("jobs:job_list")).context["nav"]
    assert [place["label"] for place in nav if place["current"]] == ["Jobs"]


@pytest.mark.parametrize("name", ["site_day_detail", "stop_work_add"])
def test_the_day_on_site_is_today_and_not_jobs(as_person, oscar, job, name):
    page = as_person(oscar).get(reverse(f"safety:{name}", args=[job.pk]))
    nav = page.context["nav"]
    assert [place["label"] for place in nav if place["current"]] == ["Today"]
