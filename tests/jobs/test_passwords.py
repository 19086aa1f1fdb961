"""Get a new password by email, and change one's own."""

import re

import pytest
from django.core import mail
from django.urls import reverse

pytestmark = pytest.mark.usefixtures("no_tries_yet")


def ask(client, email):
    return client.post(reverse("jobs:password_reset"), {"email": email})


def link_in(message):
    return re.findall(r"https?://[^/]+(/\S+)", message.body)[0]


def test_the_link_sets_a_password(client, sal):
    ask(client, "SAL@testfield.example")
    page = client.get(link_in(mail.outbox[0]), follow=True)
    new = {"new_password1": "tallow-creek-9", "new_password2": "tallow-creek-9"}
    client.post(page.request["PATH_INFO"], new)
    assert client.login(username="sal@testfield.example", password="tallow-creek-9")


def test_someone_without_a_password_can_set_the_first(client, sal):
    sal.set_unusable_password()
    sal.save(update_fields=["password"])
    ask(client, "sal@testfield.example")
    assert len(mail.outbox) == 1


def test_a_stranger_learns_nothing(client, sal):
    known, unknown = ask(client, "sal@testfield.example"), ask(client, "x@y.example")
    assert known.headers["Location"] == unknown.headers["Location"]
    assert len(mail.outbox) == 1


def test_somebody_who_left_gets_no_link(client, sal):
    sal.is_active = False
    sal.save(update_fields=["is_active"])
    ask(client, "sal@testfield.example")
    assert mail.outbox == []


def test_nobodys_mailbox_is_filled(client, sal):
    for _ in range(11):
        ask(client, "sal@testfield.example")
    assert ask(client, "sal@testfield.example").status_code == 422
    assert len(mail.outbox) == 10


def test_a_used_link_no_longer_works(client, sal):
    ask(client, "sal@testfield.example")
    link = link_in(mail.outbox[0])
    page = client.get(link, follow=True)
    new = {"new_password1": "tallow-creek-9", "new_password2": "tallow-creek-9"}
    client.post(page.request["PATH_INFO"], new)
    assert "no longer works" in client.get(link, follow=True).text


def test_one_changes_ones_own(as_person, sal):
    browser = as_person(sal)
    typed = {
        "old_password": "sunny-day-42",
        "new_password1": "tallow-creek-9",
        "new_password2": "tallow-creek-9",
    }
    response = browser.post(reverse("jobs:password_change"), typed)
    assert response.headers["Location"] == reverse("jobs:password_change_done")
    sal.refresh_from_db()
    assert sal.check_password("tallow-creek-9")


def test_the_old_one_is_asked(as_person, sal):
    typed = {"old_password": "x", "new_password1": "a", "new_password2": "b"}
    response = as_person(sal).post(reverse("jobs:password_change"), typed)
    assert response.status_code == 422
