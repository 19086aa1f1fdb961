"""Before there is a firm, every page leads to the one that sets it up."""

import pytest
from django.urls import reverse

from jobs.models import Firm, LedgerEntry, LibraryText, Person

TYPED = {
    "firm_name": "Testfield Patios",
    "pack": "au-nsw",
    "time_zone": "Australia/Sydney",
    "owner_name": "Olive Owner",
    "owner_email": "Olive@Testfield.example",
    "owner_password": "sunny-day-42",
    "again": "sunny-day-42",
}


@pytest.fixture(autouse=True)
def nobody(db):
    """An empty database."""


@pytest.mark.parametrize("path", ["/", "/jobs/", "/log-in/", "/nowhere/"])
def test_every_page_leads_there(client, path):
    assert client.get(path).headers["Location"] == reverse("jobs:set_up")


def test_it_makes_firm_owner_and_library(client):
    response = client.post(reverse("jobs:set_up"), TYPED)
    assert response.headers["Location"] == reverse("jobs:person_list")
    owner = Person.objects.get()
    assert owner.email == "olive@testfield.example"
    assert owner.is_owner
    assert owner.is_office
    assert Firm.objects.get().name == "Testfield Patios"
    assert LibraryText.objects.filter(kind="method").exists()
    assert LedgerEntry.objects.get().verb == "firm:firm:set-up"


def test_the_owner_is_logged_in_at_once(client):
    client.post(reverse("jobs:set_up"), TYPED)
    assert client.get(reverse("jobs:person_list")).status_code == 200


@pytest.mark.parametrize(
    ("change", "says"),
    [
        ({"again": "sunny-day-43"}, "differ"),
        ({"owner_password": "patio", "again": "patio"}, "too short"),
        ({"firm_name": ""}, "Fill this in"),
        ({"pack": "moon"}, "Choose one from the list"),
    ],
)
def test_bad_input_makes_nothing(client, change, says):
    response = client.post(reverse("jobs:set_up"), TYPED | change)
    assert response.status_code == 422
    assert says in response.text
    assert not Firm.objects.exists()
    assert not Person.objects.exists()


def test_it_works_once(client):
    client.post(reverse("jobs:set_up"), TYPED)
    client.logout()
    again = client.post(reverse("jobs:set_up"), TYPED)
    assert again.headers["Location"] == reverse("jobs:log_in")
    assert Person.objects.count() == 1
