"""Whom to tell of a plan that was published: kept with its draft, and led to."""

from datetime import date
from types import SimpleNamespace

import pytest
from django.urls import reverse

from jobs.models import Client, LibraryText
from scheduling.models import Draft
from tests.scheduling.plans import draft_of, publish, slot

TUESDAY, WEDNESDAY, FRIDAY = date(2026, 8, 4), date(2026, 8, 5), date(2026, 8, 7)
NEXT_MONDAY = date(2026, 8, 10)


@pytest.fixture
def published(job, blue, oscar, now):
    """Blue does both visits of the job this week."""
    places = {
        (job.pk, 1): (blue, slot(TUESDAY), slot(WEDNESDAY, "pm")),
        (job.pk, 2): (blue, slot(FRIDAY), slot(FRIDAY, "pm")),
    }
    publish(places, oscar, now)
    return places


@pytest.fixture
def later(published, job, blue, oscar, now):
    """A draft that moves the second visit to Monday."""
    there = (blue, slot(NEXT_MONDAY), slot(NEXT_MONDAY, "pm"))
    return draft_of({**published, (job.pk, 2): there}, oscar, now)


@pytest.fixture
def office(client, oscar, now, time_machine):
    time_machine.move_to(now)
    client.force_login(oscar)
    return client


def address(draft, what="detail"):
    return reverse(f"scheduling:draft_{what}", args=[draft.pk])


def test_whom_to_tell_can_still_be_read_once_the_draft_is_published(
    office, job, delivery, later
):
    Client.objects.filter(pk=job.client_id).update(phone="0400 000 111")
    page = address(later)
    before = office.get(page)
    plan = office.post(address(later, "publish"), follow=True).content.decode()
    assert "Published: 1 booking new or moved, 0 taken off." in plan
    assert f'<a href="{page}#tell">See whom to tell</a>' in plan
    after = office.get(page)
    assert after.context["told"] == before.context["told"]
    words = after.content.decode()
    for said in ("What changed", "tel:0400 000 111", "It can come later.", "Blue"):
        assert said in words


def test_a_draft_published_before_this_was_kept_says_what_it_did(office, published):
    draft = Draft.objects.get(state=Draft.State.PUBLISHED)
    Draft.objects.update(told={})
    words = office.get(address(draft)).content.decode()
    assert "This draft was published." in words
    assert "Whom to tell" not in words


def test_a_draft_that_was_overtaken_offers_a_new_one_made_the_same_way(
    office, client, published, later, olive, oscar, now
):
    Draft.objects.filter(pk=later.pk).update(why="Rain", mends=True)
    button = "Make a new one</button>"
    assert button not in office.get(address(later)).content.decode()
    publish(published, oscar, now)
    page = office.get(address(later)).content.decode()
    assert button in page
    for hidden in ('name="mends" value="yes"', 'name="why" value="Rain"'):
        assert hidden in page
    client.force_login(olive)
    assert button not in client.get(address(later)).content.decode()


def test_a_refused_publishing_keeps_nothing(office, published, later, oscar, now):
    publish(published, oscar, now)
    assert office.post(address(later, "publish")).status_code == 422
    later.refresh_from_db()
    assert later.told == {}


NOBODY = SimpleNamespace(pk=None)  # another trade comes without a crew of ours


@pytest.fixture
def wired(library, make_job):
    """A job whose last visit is the electrician's."""
    row = LibraryText.objects.get(kind="method", key="two_visits")
    row.text = row.text.replace("gutter, kind: hang_gutter", "gutter, kind: electrical")
    row.save()
    return make_job("Wired")


def test_another_trade_that_moves_is_told_like_everybody(
    office, wired, blue, oscar, now
):
    places = {
        (wired.pk, 1): (blue, slot(TUESDAY), slot(WEDNESDAY, "pm")),
        (wired.pk, 3): (NOBODY, slot(FRIDAY), slot(FRIDAY)),
    }
    first = draft_of(places, oscar, now)
    page = office.get(address(first))
    assert page.context["told"]["trades"][0]["says"] == (
        "Book for Fri 7 Aug 2026, morning."
    )
    office.post(address(first, "publish"))
    same = office.get(address(draft_of(places, oscar, now)))
    assert same.context["told"]["trades"] == []
    places[wired.pk, 3] = (NOBODY, slot(NEXT_MONDAY), slot(NEXT_MONDAY))
    moved = draft_of(places, oscar, now)
    page = office.get(address(moved))
    words = page.content.decode()
    assert "Electrician moves" in words
    assert "Now Mon 10 Aug 2026, morning; it was Fri 7 Aug 2026, morning." in words
    office.post(address(moved, "publish"))
    kept = office.get(address(moved))
    assert kept.context["told"] == page.context["told"]
