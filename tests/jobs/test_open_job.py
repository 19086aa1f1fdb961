"""The office opens a job, with its client and site when they are new."""

import pytest
from django.urls import reverse

from jobs.models import Client, Job, LedgerEntry, Site

URL = "/jobs/add/"


@pytest.fixture
def typed(library, sal):
    """A job at a new site of a new client, as typed."""
    return {
        "client_name": "Ines Marlow",
        "client_phone": "(02) 5550 0102",
        "address": "9 Quarry Lane",
        "suburb": "Quarry Flat",
        "state": "au-nsw",
        "existing_roof": "steel_sheet",
        "method": "attached_gable",
        "title": "Gabled patio",
        "site_lead": sal.pk,
        "wanted_on": "2040-09-04",
        "weight": "1",
    }


def test_everything_new_in_one_go(as_person, oscar, sal, typed):
    response = as_person(oscar).post(URL, typed)
    job = Job.objects.get()
    assert response.headers["Location"] == reverse("jobs:job_dimensions", args=[job.pk])
    assert (job.number, job.structure, job.site_lead) == (1001, "attached_gable", sal)
    assert job.client.name == "Ines Marlow"
    assert job.site.existing_roof == "steel_sheet"
    assert job.tasks.count() >= 12
    assert {a.kind.key for a in job.approvals.all()} == {"engineer", "council"}


def test_the_ledger_has_client_site_and_job(as_person, oscar, typed):
    as_person(oscar).post(URL, typed)
    verbs = list(LedgerEntry.objects.order_by("pk").values_list("verb", flat=True))
    assert verbs == ["firm:client:added", "firm:site:added", "job:job:opened"]


def test_a_site_that_is_there(as_person, oscar, site, typed):
    chosen = {k: v for k, v in typed.items() if not k.startswith("client_")}
    as_person(oscar).post(URL, chosen | {"site": site.pk, "address": "", "suburb": ""})
    assert Job.objects.get().site == site
    assert Client.objects.count() == 1


def test_a_new_site_of_a_client_that_is_there(as_person, oscar, client_of_firm, typed):
    known = {"client": client_of_firm.pk, "client_name": "", "client_phone": ""}
    as_person(oscar).post(URL, typed | known)
    assert Site.objects.get().client == client_of_firm
    assert Client.objects.count() == 1


@pytest.mark.parametrize(
    ("change", "says"),
    [
        ({"client_name": ""}, "give the new one"),
        ({"address": ""}, "Choose a site above"),
        ({"method": "castle"}, "Choose one from the list"),
        ({"title": ""}, "Fill this in"),
        ({"wanted_on": "31/02/2026"}, "Give the day as in"),
        ({"wanted_on": "2019-09-04"}, "That day is gone"),
        ({"existing_roof": ""}, "Choose what covers the house"),
    ],
)
def test_what_is_missing_is_said_and_nothing_made(
    as_person, oscar, typed, change, says
):
    response = as_person(oscar).post(URL, typed | change)
    assert response.status_code == 422
    assert says in response.text
    assert "Quarry Flat" in response.text
    assert not Client.objects.exists()
    assert not Job.objects.exists()


@pytest.mark.parametrize("chosen", ["site", "client"])
def test_what_was_typed_for_nothing_is_said(
    as_person, oscar, site, client_of_firm, typed, chosen
):
    pk = {"site": site, "client": client_of_firm}[chosen].pk
    response = as_person(oscar).post(URL, typed | {chosen: pk})
    assert response.status_code == 422
    assert f"You chose a {chosen} above. Empty this" in response.text
    assert "Ines Marlow" in response.text
    assert not Job.objects.exists()


def test_a_client_is_not_entered_twice(as_person, oscar, client_of_firm, typed):
    name = client_of_firm.name.upper()
    response = as_person(oscar).post(URL, typed | {"client_name": name})
    assert "There is a client of that name" in response.text
    assert Client.objects.count() == 1


def test_numbers_count_on(make_job):
    assert [make_job().number, make_job("Second").number] == [1001, 1002]


def test_a_freestanding_one_asks_for_what_its_kinds_say(make_job, library):
    job = make_job(method="freestanding_flat")
    assert all(approval.required for approval in job.approvals.all())


@pytest.mark.parametrize("who", ["olive", "sal", "cam"])
def test_nobody_else_opens_jobs(as_person, request, who):
    person = request.getfixturevalue(who)
    assert as_person(person).get(URL).status_code == 403
