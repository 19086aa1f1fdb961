"""Dimensions: typed in, checked as the take-off does, and what follows while typing."""

from dataclasses import asdict

import pytest
from django.urls import reverse

from jobs.domain.refusals import Refused, Stale
from jobs.models import FactsRevision, JobDimensions, LedgerEntry
from jobs.services.jobs import set_dimensions
from tests.jobs.conftest import DIMS


@pytest.fixture
def typed():
    """The dimensions of a flat patio as a form has them."""
    return {
        name: str(getattr(value, "value", value))
        for name, value in asdict(DIMS).items()
        if value is not False
    }


def url(job, name="job_dimensions"):
    return reverse(f"jobs:{name}", args=[job.pk])


def test_they_are_set_and_the_facts_follow(as_person, oscar, job, typed):
    as_person(oscar).post(url(job), typed)
    assert JobDimensions.objects.get().plain() == DIMS
    revision = FactsRevision.objects.get()
    assert revision.number == 1
    assert revision.facts["quantities"]["post_count"] >= 2
    verbs = set(LedgerEntry.objects.values_list("verb", flat=True))
    assert {"job:dimensions:set", "job:facts:changed"} <= verbs


@pytest.mark.parametrize(
    ("change", "field", "says"),
    [
        ({"length_m": "60"}, "length_m", "make it between 1.5 and 20 m"),
        ({"length_m": "4200"}, "length_m", "in millimetres? Then type 4.2"),
        ({"length_m": "", "pitch_deg": "40"}, "pitch_deg", "between 1 and 15"),
        ({"pitch_deg": "40"}, "pitch_deg", "between 1 and 15"),
        ({"length_m": "long"}, "length_m", "number"),
        ({"overhang_m": "0.9", "projection_m": "1.6"}, "overhang_m", "at most"),
        ({"beam_section": "cardboard"}, "beam_section", "Choose one from the list"),
    ],
)
def test_problems_stand_beside_their_field(
    as_person, oscar, job, typed, change, field, says
):
    response = as_person(oscar).post(url(job), typed | change)
    assert response.status_code == 422
    assert any(says in error for error in response.context["form"].errors[field])
    assert not JobDimensions.objects.exists()


def test_only_what_a_structure_has_is_asked(as_person, oscar, make_job):
    browser = as_person(oscar)
    flat = browser.get(url(make_job())).context["form"]
    deck = browser.get(url(make_job("Deck", "deck_with_roof"))).context["form"]
    assert "deck_height_m" not in flat.fields
    assert "deck_height_m" in deck.fields
    assert "gable_bay_length_m" not in deck.fields


def test_a_small_change_says_what_changed(as_person, oscar, measured, typed):
    change = typed | {"length_m": "6.6", "version": "1"}
    as_person(oscar).post(url(measured), change)
    assert FactsRevision.objects.latest("number").cause == (
        "dimensions changed (length along the house from 6 to 6.6 m)"
    )


def test_saving_the_same_again_leaves_no_trace(as_person, oscar, measured, typed):
    before = LedgerEntry.objects.count()
    as_person(oscar).post(url(measured), typed | {"version": "1"})
    assert LedgerEntry.objects.count() == before


def test_a_stale_form_is_told(as_person, oscar, measured, typed):
    browser = as_person(oscar)
    browser.post(url(measured), typed | {"length_m": "6.6", "version": "1"})
    late = browser.post(url(measured), typed | {"length_m": "7", "version": "1"})
    assert late.status_code == 422
    assert "Someone changed this" in late.text
    assert "“6.6”" in late.text


def test_two_first_times_at_once(oscar, measured, now):
    with pytest.raises(Stale):
        set_dimensions(job=measured, version=None, dimensions=DIMS, actor=oscar, at=now)


def test_the_service_refuses_what_cannot_be_taken_off(oscar, job, now):
    wild = type(DIMS)(length_m=99, projection_m=3, pitch_deg=5, clear_height_m=2.4)
    with pytest.raises(Refused, match="Length is 99 m"):
        set_dimensions(job=job, version=None, dimensions=wild, actor=oscar, at=now)


def test_what_follows_is_shown_while_typing(as_person, oscar, job, typed):
    response = as_person(oscar).post(url(job, "job_dimensions_preview"), typed)
    assert response.status_code == 200
    assert "Both diagonals" in response.text
    assert "<svg" in response.text
    assert not JobDimensions.objects.exists()


def test_and_so_is_what_is_wrong(as_person, oscar, job, typed):
    half = typed | {"length_m": "60", "projection_m": ""}
    text = as_person(oscar).post(url(job, "job_dimensions_preview"), half).text
    assert "Projection" in text
    assert "<svg" not in text


@pytest.mark.parametrize("name", ["job_dimensions", "job_dimensions_preview"])
def test_the_lead_does_not_change_them(as_person, sal, lou, job, typed, name):
    assert as_person(sal).post(url(job, name), typed).status_code == 403
    assert as_person(lou).post(url(job, name), typed).status_code == 404
