"""Every component, in a browser: narrow, wide, by finger, by ear, without a script."""

import mimetypes
from pathlib import Path
from urllib.parse import urlsplit

import pytest
from axe_playwright_python.sync_playwright import Axe
from django.contrib.staticfiles import finders
from django.http import HttpResponse
from django.shortcuts import render
from django.test import RequestFactory

from config.middleware import content_security_policy
from tests.chromium import launched
from tests.look_samples import sample_context

pytestmark = pytest.mark.browser

WIDTHS = [360, 1440, 1600]
SITE = "http://gallery.test"


def site(request):
    """The gallery, the answer of a finished piece of work, and static files."""
    if request.path == "/gallery/":
        context = sample_context(bound="wrong" in request.GET)
        return render(request, "gallery.html", context)
    if request.path == "/working/":
        done = {"id": "demo-working", "done": True, "says": "The draft is ready."}
        return render(request, "parts/progress.html", done)
    found = finders.find(request.path.removeprefix("/static/"))
    if found is None:
        return HttpResponse(status=404)
    kind, _ = mimetypes.guess_type(found)
    return HttpResponse(Path(found).read_bytes(), content_type=kind)


def answer(route):
    """Answer the browser from here: no server, no database."""
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
def open_page(chromium):
    """Open the gallery at a width; keep what the console said."""
    pages = []

    def opened(width, query="", **more):
        page = chromium.new_page(viewport={"width": width, "height": 800}, **more)
        page.said = []
        page.on("console", lambda message: page.said.append(message.text))
        page.on("pageerror", lambda error: page.said.append(str(error)))
        page.route("**/*", answer)
        page.goto(f"{SITE}/gallery/{query}")
        pages.append(page)
        return page

    yield opened
    for page in pages:
        page.close()


def test_no_id_twice(open_page):
    found = open_page(1440).locator("[id]").evaluate_all("all => all.map(e => e.id)")
    assert len(found) > 40
    assert len(found) == len(set(found))


@pytest.mark.parametrize("width", WIDTHS)
def test_the_page_never_scrolls_sideways(open_page, width):
    page = open_page(width)
    assert page.evaluate("document.documentElement.scrollWidth") == width


@pytest.mark.parametrize("width", WIDTHS)
@pytest.mark.parametrize("query", ["", "?wrong"])
def test_axe_finds_nothing_serious(open_page, width, query):
    report = Axe().run(open_page(width, query)).response
    grave = [v for v in report["violations"] if v["impact"] in {"serious", "critical"}]
    assert report["passes"]
    assert [(v["id"], v["nodes"][0]["target"]) for v in grave] == []


def test_console_stays_silent_under_the_strict_policy(open_page):
    page = open_page(1440)
    page.get_by_text("The draft is ready.").wait_for()
    assert page.said == []


def test_the_end_of_long_work_is_read_out(open_page):
    page = open_page(1440)
    page.get_by_text("The draft is ready.").wait_for()
    page.get_by_text("The work has come to its end.").wait_for(state="attached")
    assert page.get_by_role("progressbar").count() == 0


def test_targets_fit_a_glove(open_page):
    page = open_page(360)
    low = page.locator(".btn, .choice, .bigchoice, .field input, .nav a").evaluate_all(
        "all => all.filter(e => e.checkVisibility() && e.type !== 'radio'"
        " && e.type !== 'checkbox' && e.type !== 'hidden'"
        " && e.getBoundingClientRect().height < 48).map(e => e.outerHTML)"
    )
    assert low == []


def test_navigation_lies_under_the_thumb(open_page):
    page = open_page(360)
    page.get_by_text("More", exact=True).click()
    link = page.locator(".nav-more").get_by_role("link", name="Compliance")
    assert link.bounding_box()["y"] > 400


def test_diagonals_answer_while_typing(open_page):
    page = open_page(360)
    page.get_by_label("Diagonal B").fill("7655")
    answer = page.locator(".diagonals-answer")
    assert answer.inner_text() == "Not square Difference 12 mm. Allowed 5 mm."


def test_a_finger_signs(open_page):
    page = open_page(360)
    canvas = page.locator(".signature canvas")
    canvas.drag_to(canvas, source_position={"x": 20, "y": 20})
    assert page.locator("[name=signature_strokes]").input_value().startswith("[[[")
    page.get_by_text("Clear the drawn signature").click()
    assert page.locator("[name=signature_strokes]").input_value() == ""


def test_a_row_is_added(open_page):
    page = open_page(1440)
    page.get_by_role("button", name="Add a row").click()
    assert page.locator("[name=materials-TOTAL_FORMS]").input_value() == "4"
    assert page.evaluate("document.activeElement.name") == "materials-3-name"


def test_without_a_script_nothing_is_missing(open_page):
    page = open_page(360, java_script_enabled=False)
    assert page.get_by_role("button", name="Save the job").is_visible()
    assert page.get_by_label("Type your full name to sign").is_visible()
    assert page.get_by_role("link", name="Look again").is_visible()
