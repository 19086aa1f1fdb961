"""Clients and the facts of their sites."""

import pytest
from django.urls import reverse

from jobs.models import Client, FactsRevision, LedgerEntry, Site
from jobs.queries.clients import unknown_facts

SITE = {
    "address": "9 Quarry Lane",
    "suburb": "Quarry Flat",
    "state": "au-nsw",
    "existing_roof": "clay_tile",
    "ground": "pavers",
    "access": "narrow_side",
    "occupied": "on",
    "power_on_site": "on",
}


def test_the_office_adds_a_client(as_person, oscar):
    as_person(oscar).post(reverse("jobs:client_add"), {"name": "Ines Marlow"})
    assert Client.objects.get().name == "Ines Marlow"
    assert LedgerEntry.objects.get().verb == "firm:client:added"


def test_a_client_without_a_name_is_refused(as_person, oscar):
    response = as_person(oscar).post(reverse("jobs:client_add"), {"phone": "5550"})
    assert response.status_code == 422
    assert 'value="5550"' in response.text


def test_phone_numbers_stay_out_of_the_ledger(as_person, oscar, client_of_firm):
    url = reverse("jobs:client_edit", args=[client_of_firm.pk])
    new = {"name": "Rowan Wattle", "phone": "(02) 5550 0199", "version": 1}
    as_person(oscar).post(url, new)
    entry = LedgerEntry.objects.get(verb="firm:client:changed")
    assert entry.payload == '{"fields":["phone"]}'


def test_what_nobody_knows_stays_unknown(as_person, oscar, client_of_firm):
    url = reverse("jobs:site_add", args=[client_of_firm.pk])
    as_person(oscar).post(url, SITE | {"overhead_line": "", "fascia_is_metal": "False"})
    site = Site.objects.get()
    assert site.overhead_line is None
    assert site.fascia_is_metal is False
    assert site.existing_eave_height_m is None
    assert "eave height" in unknown_facts(site)
    assert "whether the fascia is metal" not in unknown_facts(site)


@pytest.mark.parametrize(
    ("change", "says"),
    [
        ({"existing_eave_height_m": "tall"}, "number"),
        ({"building_year": "1500"}, "1800"),
        ({"overhead_line": "False", "overhead_line_kv": "11"}, "no line"),
        ({"address": ""}, "Fill this in"),
        ({"state": "atlantis"}, "Choose one from the list"),
    ],
)
def test_bad_facts_are_refused_and_kept(as_person, oscar, client_of_firm, change, says):
    url = reverse("jobs:site_add", args=[client_of_firm.pk])
    response = as_person(oscar).post(url, SITE | change)
    assert response.status_code == 422
    assert says in response.text
    assert not Site.objects.exists()


def test_new_facts_make_a_new_revision_of_open_jobs(as_person, oscar, measured):
    site = measured.site
    url = reverse("jobs:site_edit", args=[site.pk])
    change = SITE | {"version": site.version, "existing_eave_height_m": "2.7"}
    as_person(oscar).post(url, change)
    assert FactsRevision.objects.filter(job=measured).count() == 2
    last = FactsRevision.objects.latest("number")
    assert "site facts changed" in last.cause


def test_a_phone_number_makes_none(as_person, oscar, measured):
    url = reverse("jobs:client_edit", args=[measured.client_id])
    as_person(oscar).post(url, {"name": "Rowan Wattle", "phone": "1", "version": 1})
    assert FactsRevision.objects.filter(job=measured).count() == 1


def test_a_stale_site_form_is_told(as_person, oscar, site):
    browser, url = as_person(oscar), reverse("jobs:site_edit", args=[site.pk])
    browser.post(url, SITE | {"version": 1})
    late = browser.post(url, SITE | {"version": 1, "suburb": "Elsewhere"})
    assert late.status_code == 422
    assert "it is now “Quarry Flat”" in late.text


def test_the_owner_reads_and_does_not_write(as_person, olive, client_of_firm):
    browser = as_person(olive)
    assert browser.get(reverse("jobs:client_list")).status_code == 200
    assert browser.get(reverse("jobs:client_add")).status_code == 403
    detail = reverse("jobs:client_detail", args=[client_of_firm.pk])
    assert "Open a job" not in browser.get(detail).text


def test_site_leads_and_crew_see_no_clients(as_person, sal, cam, client_of_firm):
    detail = reverse("jobs:client_detail", args=[client_of_firm.pk])
    for person in (sal, cam):
        assert as_person(person).get(reverse("jobs:client_list")).status_code == 403
        assert as_person(person).get(detail).status_code == 404


def test_the_list_finds_by_suburb(as_person, oscar, site):
    browser, url = as_person(oscar), reverse("jobs:client_list")
    assert "Rowan Wattle" in browser.get(url, {"q": "merrin"}).text
    assert "No client fits" in browser.get(url, {"q": "nowhere"}).text
