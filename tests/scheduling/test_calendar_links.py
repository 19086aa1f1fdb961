"""Secret calendar links: handed out, fetched without login, revoked."""

from datetime import date, timedelta

import pytest
from django.core.exceptions import PermissionDenied
from django.urls import reverse

from jobs.services.people import edit_person
from scheduling.models import FeedLink
from scheduling.services.feed_links import make_link, note_use, revoke_link, token_of
from tests.scheduling.plans import publish, slot

TUESDAY = date(2026, 8, 4)


@pytest.fixture
def link(job, blue, oscar, now):
    publish({(job.pk, 1): (blue, slot(TUESDAY), slot(TUESDAY, "pm"))}, oscar, now)
    return make_link(subject=blue, actor=oscar, at=now)


def address(link):
    return reverse("scheduling:calendar_feed", args=[token_of(link)])


def test_a_link_opens_its_calendar_without_login(client, link, time_machine, now):
    time_machine.move_to(now)
    answer = client.get(address(link))
    assert answer.status_code == 200
    assert answer.headers["Content-Type"] == "text/calendar; charset=utf-8"
    assert b"SUMMARY:1001 Patio: Set out" in answer.content
    link.refresh_from_db()
    assert link.last_used_at == now


def test_an_unchanged_calendar_is_not_sent_again(client, link, time_machine, now):
    time_machine.move_to(now)
    etag = client.get(address(link)).headers["ETag"]
    again = client.get(address(link), headers={"if-none-match": etag})
    assert (again.status_code, again.content) == (304, b"")
    assert (
        client.get(address(link), headers={"if-none-match": '"x"'}).status_code == 200
    )


def test_a_changed_plan_changes_the_answer(
    client, link, job, blue, oscar, time_machine, now
):
    time_machine.move_to(now)
    etag = client.get(address(link)).headers["ETag"]
    publish({(job.pk, 1): (blue, slot(TUESDAY, "pm"), slot(TUESDAY, "pm"))}, oscar, now)
    assert client.get(address(link), headers={"if-none-match": etag}).status_code == 200


def test_a_revoked_link_is_gone(client, link, oscar, now):
    revoke_link(link=link, actor=oscar, at=now)
    assert client.get(address(link)).status_code == 404


@pytest.mark.parametrize("token", ["nonsense", "0" * 32 + ".forged", "."])
def test_nobody_guesses_a_link(client, link, token):
    url = reverse("scheduling:calendar_feed", args=[token])
    assert client.get(url).status_code == 404


def test_the_link_of_somebody_who_left_stops(client, kim, oscar, now):
    link = make_link(subject=kim, actor=oscar, at=now)
    assert client.get(address(link)).status_code == 200
    edit_person(person=kim, version=1, values={"is_active": False}, actor=oscar, at=now)
    assert client.get(address(link)).status_code == 404


def test_use_is_noted_every_few_minutes_only(link, now):
    for minutes in (0, 4, 6):
        note_use(link=link, at=now + timedelta(minutes=minutes))
    link.refresh_from_db()
    assert link.last_used_at == now + timedelta(minutes=6)


def test_everybody_may_have_their_own_and_no_other(cam, kim, blue, now):
    assert make_link(subject=cam, actor=cam, at=now).kind == FeedLink.Kind.PERSON
    for subject in (kim, blue, None):
        with pytest.raises(PermissionDenied):
            make_link(subject=subject, actor=cam, at=now)


def test_a_link_to_deliveries_is_the_offices_to_hand_out(
    client, delivery, cam, oscar, time_machine, now
):
    time_machine.move_to(now)
    client.force_login(cam)
    made = client.post(reverse("scheduling:link_make"), {"subject": "deliveries"})
    assert made.status_code == 403
    client.force_login(oscar)
    assert "Deliveries only" in client.get(reverse("scheduling:link_list")).text
    client.post(reverse("scheduling:link_make"), {"subject": "deliveries"})
    link = FeedLink.objects.get()
    client.logout()
    answer = client.get(address(link))
    assert b"SUMMARY:Delivery for 1001 Patio" in answer.content
    assert answer.content.count(b"BEGIN:VEVENT") == 1


def test_links_are_made_shown_and_revoked_on_a_page(client, kim, oscar, blue):
    client.force_login(oscar)
    url = reverse("scheduling:link_list")
    client.post(reverse("scheduling:link_make"), {"subject": f"crew-{blue.pk}"})
    link = FeedLink.objects.get()
    assert token_of(link) in client.get(url).content.decode()
    client.post(reverse("scheduling:link_revoke", args=[link.pk]))
    assert token_of(link) not in client.get(url).content.decode()
    client.force_login(kim)
    assert (
        client.get(reverse("scheduling:link_revoke", args=[link.pk])).status_code == 404
    )
