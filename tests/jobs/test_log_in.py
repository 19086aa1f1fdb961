"""Log in by email; wrong tries are counted for a while."""

import pytest
from django.urls import reverse

from jobs.services.tries import TRIES_OF_ONE_EMAIL, WINDOW_S

URL = "/log-in/"


pytestmark = pytest.mark.usefixtures("no_tries_yet")


def try_it(client, email="oscar@testfield.example", password="wrong", **more):
    typed = {"username": email, "password": password, "next": "/jobs/"}
    return client.post(URL, typed, **more)


def use_up(client, **more):
    for _ in range(TRIES_OF_ONE_EMAIL):
        try_it(client, **more)


def test_it_logs_in_whatever_the_case(client, oscar):
    response = try_it(client, "OSCAR@testfield.example", "sunny-day-42")
    assert response.headers["Location"] == "/jobs/"


def test_a_wrong_password_says_so_and_keeps_the_email(client, oscar):
    response = try_it(client)
    assert response.status_code == 422
    assert "do not go together" in response.text
    assert "oscar@testfield.example" in response.text


def test_somebody_who_left_is_turned_away(client, oscar):
    oscar.is_active = False
    oscar.save(update_fields=["is_active"])
    assert try_it(client, password="sunny-day-42").status_code == 422


def test_after_ten_tries_even_the_right_password_waits(client, oscar):
    use_up(client)
    response = try_it(client, password="sunny-day-42")
    assert response.status_code == 429
    assert "Wait 15 minutes" in response.text


def test_another_email_and_another_address_are_free(client, oscar, olive):
    use_up(client)
    olive_in = try_it(client, "olive@testfield.example", "sunny-day-42")
    assert olive_in.status_code == 302
    client.logout()
    elsewhere = try_it(client, password="sunny-day-42", REMOTE_ADDR="192.0.2.7")
    assert elsewhere.status_code == 302


def test_one_address_may_not_try_every_email(client, oscar):
    for n in range(100):
        try_it(client, f"guess{n}@testfield.example")
    assert try_it(client, password="sunny-day-42").status_code == 429


def test_the_right_password_starts_the_count_anew(client, oscar):
    for _ in range(TRIES_OF_ONE_EMAIL - 1):
        try_it(client)
    try_it(client, password="sunny-day-42")
    client.logout()
    assert try_it(client).status_code == 422


def test_tries_are_forgotten_in_time(client, oscar, monkeypatch, settings):
    use_up(client)
    monkeypatch.setattr(
        "django.core.cache.backends.locmem.time.time", later(WINDOW_S + 1)
    )
    if settings.REDIS_URL:
        pytest.skip("only the local cache takes its time from us")
    assert try_it(client, password="sunny-day-42").status_code == 302


def later(seconds):
    import time  # noqa: PLC0415 - the real one, before it is replaced

    now = time.time
    return lambda: now() + seconds


def test_behind_a_proxy_the_address_it_saw_counts(client, oscar, settings):
    settings.BEHIND_HTTPS = True
    settings.SECURE_SSL_REDIRECT = False
    use_up(client, HTTP_X_FORWARDED_FOR="1.1.1.1, 192.0.2.9")
    blocked = try_it(
        client, password="sunny-day-42", HTTP_X_FORWARDED_FOR="2.2.2.2, 192.0.2.9"
    )
    assert blocked.status_code == 429


def test_pages_ask_for_it_and_come_back(client, oscar):
    response = client.get(reverse("jobs:job_list"))
    assert response.headers["Location"] == "/log-in/?next=/jobs/"


def test_log_out_takes_a_button_not_a_link(as_person, oscar):
    browser = as_person(oscar)
    assert browser.get(reverse("jobs:log_out")).status_code == 405
    browser.post(reverse("jobs:log_out"))
    assert browser.get(reverse("jobs:job_list")).status_code == 302
