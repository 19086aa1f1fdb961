"""A form of the day on site in a browser: without signal, logged out, pressed again."""

import mimetypes
from datetime import datetime, timedelta
from pathlib import Path
from types import SimpleNamespace
from urllib.parse import parse_qs, urlsplit

import pytest
from django import forms
from django.contrib.staticfiles import finders
from django.http import HttpResponse
from django.shortcuts import render
from django.test import RequestFactory

from config.middleware import content_security_policy
from jobs.forms.phone import PhoneForm
from jobs.models import Task
from safety.forms.on_site import kept_helper
from safety.queries.site_day import TaskToday
from tests.chromium import launched
from tests.look_samples import sample_context

pytestmark = pytest.mark.browser

SITE = "http://phone.test"
FORM = f"{SITE}/form/"
DAY = "/jobs/1/day/"
DOOR = "<!doctype html><title>Log in</title>"


class WindForm(PhoneForm):
    """One thing to type."""

    gust = forms.CharField(label="Gust")

    @property
    def helper(self):
        return kept_helper("gust", save="Record it")


def site(request):
    """The form on a page of its own, and static files."""
    if request.path == "/form/":
        body = {"heading": "Wind", "form": WindForm(request.POST or None)}
        status = 422 if request.POST else 200
        page = {**sample_context(bound=False), **body}
        return render(request, "safety/work_start.html", page, status=status)
    if request.path == DAY:
        task = TaskToday(Task(pk=7, name="Set out"), 1)
        job = SimpleNamespace(pk=1, is_open=True)
        body = {"job": job, "is_today": True, "runs": True, "tasks": [task]}
        page = {**sample_context(bound=False), **body}
        return render(request, "safety/site_day.html", page)
    found = finders.find(request.path.removeprefix("/static/"))
    if found is None:
        return HttpResponse(status=404)
    kind, _ = mimetypes.guess_type(found)
    return HttpResponse(Path(found).read_bytes(), content_type=kind)


def answer(route):
    parts = urlsplit(route.request.url)
    request = RequestFactory().get(f"{parts.path}?{parts.query}")
    response = content_security_policy(site)(request)
    route.fulfill(
        status=response.status_code,
        headers=dict(response.headers),
        body=response.content,
    )


@pytest.fixture(scope="module")
def chromium():
    with launched() as browser:
        yield browser


@pytest.fixture
def phone(chromium):
    """The form opened on a phone, filled in, with a way to say how each send fares."""
    page = chromium.new_page(viewport={"width": 360, "height": 740})
    page.sent, page.fares = [], []

    def receive(route):
        if route.request.method != "POST":
            return answer(route)
        page.sent.append(fields_of(route.request))
        return page.fares.pop(0)(route)

    page.clock.install()
    page.route("**/*", answer)
    page.route(FORM, receive)
    page.route("**/tasks/7/*/", receive)
    page.goto(FORM)
    page.get_by_label("Gust").fill("28")
    yield page
    page.close()


def fields_of(request):
    """What was sent, by name: the boundary's own lines are not fields."""
    if "urlencoded" in request.headers["content-type"]:
        return {key: value[0] for key, value in parse_qs(request.post_data).items()}
    boundary = request.headers["content-type"].partition("boundary=")[2]
    found = {}
    for part in request.post_data.split(f"--{boundary}")[1:-1]:
        head, _, value = part.strip("\r\n").partition("\r\n\r\n")
        found[head.partition('name="')[2].partition('"')[0]] = value
    return found


def lost(route):
    route.abort("internetdisconnected")


def gone_on(route):
    route.fulfill(status=200, headers={"HX-Redirect": "/form/?done"}, body="")


def door(route):
    route.fulfill(status=200, content_type="text/html", body=DOOR)


def broken(route):
    route.fulfill(status=500, content_type="text/html", body=DOOR)


def shown_anew(route):
    route.fulfill(status=200, headers={"HX-Refresh": "true"}, body="")


def press(phone, button="Record it"):
    with phone.expect_request(lambda request: request.method == "POST"):
        phone.get_by_role("button", name=button).click()


def test_without_signal_it_waits_and_says_when_it_was_pressed(phone):
    phone.fares = [lost, gone_on]
    press(phone)
    phone.get_by_text("No signal: nobody has heard of this yet.").wait_for()
    phone.clock.fast_forward("02:00:00")
    press(phone)
    phone.wait_for_url("**/form/?done")
    first, second = phone.sent
    assert first["client_uid"] == second["client_uid"]
    pressed, sent = map(
        datetime.fromisoformat, (second["device_at"], second["sent_at"])
    )
    assert timedelta(hours=2) <= sent - pressed < timedelta(hours=2, minutes=1)


def test_what_is_changed_while_it_waits_happened_when_it_is_sent(phone):
    phone.fares = [lost, gone_on]
    press(phone)
    phone.get_by_text("No signal: nobody has heard of this yet.").wait_for()
    phone.clock.fast_forward("02:00:00")
    phone.get_by_label("Gust").fill("31")
    press(phone)
    phone.wait_for_url("**/form/?done")
    assert phone.sent[1]["device_at"] == phone.sent[1]["sent_at"]


@pytest.mark.parametrize(
    ("fares", "says"),
    [(door, "You are logged out."), (broken, "This did not get through.")],
)
def test_a_page_that_is_no_answer_never_takes_the_place_of_the_form(phone, fares, says):
    phone.fares = [fares]
    press(phone)
    phone.get_by_text(says).wait_for()
    assert phone.get_by_label("Gust").input_value() == "28"
    assert phone.url == FORM


@pytest.mark.parametrize("button", ["Start Set out", "Done : Set out"])
def test_a_task_of_the_day_waits_for_signal_too(phone, button):
    phone.goto(f"{SITE}{DAY}")
    phone.fares = [lost, broken, shown_anew]
    press(phone, button)
    phone.get_by_text(
        "No signal: nobody has heard of this yet. Leave the page"
    ).wait_for()
    assert phone.url == f"{SITE}{DAY}"
    phone.clock.fast_forward("00:10:00")
    press(phone, button)
    phone.get_by_text("This did not get through. Wait a little").wait_for()
    with phone.expect_event("load"):
        press(phone, button)
    first, _, third = phone.sent
    assert first["device_at"] == third["device_at"] < third["sent_at"]
