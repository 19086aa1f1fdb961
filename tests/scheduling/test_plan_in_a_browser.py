"""The plan in a real browser: moved by keyboard and pointer, and printed."""

from contextlib import contextmanager
from datetime import date
from io import BytesIO
from pathlib import Path
from urllib.parse import parse_qs, urlsplit

import pytest
from django.contrib.staticfiles import finders
from django.urls import reverse
from pypdf import PdfReader

from tests.chromium import launched
from tests.scheduling.plans import publish, slot

TUESDAY, FRIDAY = date(2026, 8, 4), date(2026, 8, 7)
HOST = "http://plan.test"


@pytest.fixture
def html(client, job, blue, red, oscar, now, time_machine):
    """The office's plan, as the server sends it."""
    time_machine.move_to(now)
    places = {
        (job.pk, 1): (blue, slot(TUESDAY), slot(TUESDAY, "pm")),
        (job.pk, 2): (blue, slot(FRIDAY), slot(FRIDAY, "pm")),
    }
    publish(places, oscar, now)
    client.force_login(oscar)
    return client.get(reverse("scheduling:plan")).content.decode()


@contextmanager
def opened(html):
    """The page in a browser, and what it asks the server about moves."""
    asked = []

    def answer(route):
        url = urlsplit(route.request.url)
        if url.path.startswith("/static/"):
            found = finders.find(url.path.removeprefix("/static/"))
            assert found is not None
            route.fulfill(path=str(Path(found)))
        elif url.path.endswith("/move/"):
            asked.append({name: v[0] for name, v in parse_qs(url.query).items()})
            body = '<section id="move"><h2 tabindex="-1" data-look-here>Here</h2></section>'
            route.fulfill(body=body, content_type="text/html")
        elif url.path == "/plan/":
            route.fulfill(body=html, content_type="text/html")
        else:
            route.fulfill(status=204)

    with launched() as browser:
        page = browser.new_page(viewport={"width": 1280, "height": 900})
        page.route("**/*", answer)
        page.goto(f"{HOST}/plan/")
        yield page, asked


def test_shift_and_an_arrow_ask_about_the_next_half_day(html, blue, red):
    with opened(html) as (page, asked):
        page.locator("[data-move]").first.focus()
        page.keyboard.press("Shift+ArrowRight")
        page.wait_for_function("document.activeElement.textContent === 'Here'")
        page.locator("[data-move]").first.focus()
        with page.expect_response("**/move/**"):
            page.keyboard.press("Shift+ArrowDown")
    place = {"start_on": "2026-08-04", "crew": str(blue.pk), "start_half": "pm"}
    below = {"start_on": "2026-08-04", "crew": str(red.pk), "start_half": "am"}
    assert asked == [place, below]


def test_a_booking_is_dragged_to_another_crew_and_day(html, red):
    with opened(html) as (page, asked):
        cell = page.locator(f'tr[data-crew="{red.pk}"] td').nth(5)
        page.locator("[data-move]").first.drag_to(
            cell, source_position={"x": 4, "y": 8}
        )
        page.get_by_text("Here").wait_for()
    where = {"start_on": "2026-08-05", "crew": str(red.pk), "start_half": "pm"}
    assert asked == [where]


def test_the_plan_fits_one_landscape_sheet(html):
    with opened(html) as (page, _):
        pdf = PdfReader(BytesIO(page.pdf(prefer_css_page_size=True)))
    (sheet,) = pdf.pages
    assert sheet.mediabox.width > sheet.mediabox.height
    words = sheet.extract_text()
    assert "Plan of crews" in words
    assert "Pencilled" in words
    assert "To move a booking" not in words
