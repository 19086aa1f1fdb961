"""The owner changes the firm's settings."""

import pytest
from django.urls import reverse

from jobs.models import LedgerEntry
from jobs.queries import the_firm

TYPED = {
    "name": "Testfield Roofs",
    "pack": "au-vic",
    "time_zone": "Australia/Melbourne",
    "starts_at": "06:30",
    "midday_at": "11:00",
    "ends_at": "15:00",
    "works_saturday": "on",
    "version": 1,
}
URL = "/firm/"


def test_the_owner_changes_them(as_person, olive):
    as_person(olive).post(URL, TYPED)
    firm = the_firm()
    assert (firm.name, firm.pack, firm.works_saturday) == (
        "Testfield Roofs",
        "au-vic",
        True,
    )
    assert LedgerEntry.objects.get().verb == "firm:firm:changed"


def test_times_follow_the_new_clock(as_person, olive, job):
    as_person(olive).post(URL, TYPED | {"time_zone": "Australia/Perth"})
    page = as_person(olive).get(reverse("jobs:job_ledger", args=[job.pk])).text
    assert "8:00 a.m." in page  # opened at midnight UTC


@pytest.mark.parametrize(
    "change", [{"midday_at": "06:00"}, {"time_zone": "Mars/Base"}, {"pack": "moon"}]
)
def test_nonsense_is_refused(as_person, olive, change):
    assert as_person(olive).post(URL, TYPED | change).status_code == 422
    assert the_firm().name == "Testfield Patios"


def test_a_stale_form_is_told(as_person, olive):
    browser = as_person(olive)
    browser.post(URL, TYPED)
    assert "Someone changed this" in browser.post(URL, TYPED | {"name": "Other"}).text


def test_nobody_else_may(as_person, oscar, sal, cam):
    for person in (oscar, sal, cam):
        assert as_person(person).get(URL).status_code == 403
