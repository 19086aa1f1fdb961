"""The ledger as people read it: of a job, and of the firm."""

from datetime import timedelta

import pytest
from django.urls import reverse

from jobs import ledger
from jobs.models import LedgerEntry
from jobs.queries.ledger import in_words, verb_in_words
from jobs.services.ledger_days import close_days


def job_page(job):
    return reverse("jobs:job_ledger", args=[job.pk])


def words(payload, job, oscar, now, verb="job:approval:step"):
    entry = ledger.append(
        chain=job, actor=oscar, at=now, verb=verb, subject=job, payload=payload
    )
    return in_words([entry])[0]


def test_a_job_tells_its_story(as_person, oscar, measured):
    page = as_person(oscar).get(job_page(measured)).text
    for said in ("Job opened", "Dimensions set", "Facts changed", "Oscar Office"):
        assert said in page
    last = LedgerEntry.objects.filter(chain=measured.chain).latest("number")
    assert last.digest[:16] in page


def test_the_lead_reads_their_own_and_crew_none(as_person, sal, lou, cam, job):
    assert as_person(sal).get(job_page(job)).status_code == 200
    assert as_person(lou).get(job_page(job)).status_code == 404
    job.site_lead = cam
    job.save(update_fields=["site_lead"])
    assert as_person(cam).get(job_page(job)).status_code == 403


def test_only_the_owner_reads_the_firms(as_person, olive, oscar, sal, job):
    page = as_person(olive).get("/ledger/").text
    assert "Client added" in page
    assert job.chain in page
    for person in (oscar, sal):
        assert as_person(person).get("/ledger/").status_code == 403


def test_roots_of_closed_days_are_shown_to_keep(as_person, olive, job, now):
    (day,) = close_days(at=now + timedelta(days=2))
    assert day.root in as_person(olive).get("/ledger/").text


def test_long_ledgers_page(as_person, oscar, job, now):
    for n in range(30):
        words({"n": n}, job, oscar, now)
    assert "Page 1 of 2, 31 in all" in as_person(oscar).get(job_page(job)).text


@pytest.mark.parametrize(
    ("payload", "said"),
    [
        ({"wanted_on": [None, "2026-09-04"]}, "Wanted on: nothing → Fri 4 Sep 2026"),
        ({"step": "granted_if"}, "Step: granted if"),
        ({"required": [True, False]}, "Required: yes → no"),
        ({"length_m": [6.0, 6.6]}, "Length m: 6 → 6.6"),
        ({"roles": ["crew", "owner", "office"]}, "Roles: crew; owner; office"),
        (
            {"added": [{"description": "Beam", "quantity": 2.0, "part": "beam"}]},
            "Added: 2 × Beam",
        ),
        ({"after": {"key": "x", "lag_hours": 24.0}}, "After: key x, lag hours 24"),
        (
            {"device_at": "2026-08-02T21:05:00+00:00"},
            "Device at: Mon 3 Aug 2026, 7:05 a.m",
        ),
        ({"note": "Gusts over the limit."}, "Note: Gusts over the limit"),
    ],
)
def test_payloads_in_words(job, oscar, now, payload, said):
    assert words(payload, job, oscar, now).details == (said,)


def test_digests_are_for_machines_and_long_lists_are_cut(job, oscar, now):
    payload = {f"field_{n}": n for n in range(12)} | {"digest": "ab" * 32}
    details = words(payload, job, oscar, now).details
    assert len(details) == 9
    assert details[-1] == "And 4 more"


@pytest.mark.parametrize(
    ("verb", "said"),
    [
        ("job:approval:step", "Approval step"),
        ("firm:person:roles-changed", "Person roles changed"),
        ("odd", "Odd"),
    ],
)
def test_verbs_in_words(verb, said):
    assert verb_in_words(verb) == said
