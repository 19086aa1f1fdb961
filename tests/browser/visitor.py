"""Somebody at a browser: presses, types, and looks at every page that comes up.

Things are found as a person finds them, by role and name. What the console says, what
does not load, what axe calls serious or critical and what scrolls sideways is kept.
"""

import re
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from typing import Any
from urllib.parse import urlsplit

from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import (
    Browser,
    BrowserContext,
    Locator,
    Page,
    ViewportSize,
    expect,
)

expect.set_options(timeout=20_000)

PHONE: ViewportSize = {"width": 360, "height": 740}
DESK: ViewportSize = {"width": 1280, "height": 900}
TIMEOUT_MS = 20_000
GRAVE = {"serious", "critical"}
AXE = Axe()


@dataclass  # without slots: Playwright notes on us that it wraps what we hand it
class Watch:
    """What went wrong on any page that anybody saw, and which pages were looked at."""

    wrong: list[str] = field(default_factory=list)
    looked_at: set[tuple[str, int]] = field(default_factory=set)

    def listen(self, page: Page) -> None:
        """Hear the console, errors of scripts, and what does not load."""
        page.on("console", self._heard)
        page.on("pageerror", lambda error: self.wrong.append(f"{page.url}: {error}"))
        page.on("requestfailed", self._failed)
        page.on("response", self._answered)

    def _heard(self, message: Any) -> None:
        if message.type in {"error", "warning"}:
            self.wrong.append(f"{message.location.get('url')}: {message.text}")

    def _failed(self, request: Any) -> None:
        if request.failure != "net::ERR_ABORTED":  # a page left before it was whole
            self.wrong.append(f"{request.url}: {request.failure}")

    def _answered(self, response: Any) -> None:
        if response.status >= 400:
            self.wrong.append(f"{response.url}: {response.status}")

    def look(self, page: Page) -> None:
        """Look closely at a page of this kind and width, the first time it comes up."""
        kind = re.sub(r"\d+|[0-9a-f-]{36}", "N", urlsplit(page.url).path)
        width = page.viewport_size["width"] if page.viewport_size else 0
        if (kind, width) in self.looked_at:
            return
        self.looked_at.add((kind, width))
        wide = page.evaluate("document.documentElement.scrollWidth")
        if wide > width:
            self.wrong.append(f"{kind} is {wide} px wide on a screen of {width}")
        self._check(page, kind)

    def _check(self, page: Page, kind: str) -> None:
        for found in AXE.run(page).response["violations"]:
            if found["impact"] in GRAVE:
                where = found["nodes"][0]["target"]
                self.wrong.append(f"{kind}: axe {found['id']} at {where}")


@dataclass(slots=True)
class Visitor:
    """One person at one screen."""

    page: Page
    site: str
    watch: Watch | None

    def go(self, path: str) -> None:
        """Open an address of the site."""
        self.page.goto(self.site + path)
        self.look()

    def look(self) -> None:
        """Look at the page that is there."""
        self.page.wait_for_load_state()
        if self.watch is not None:
            self.watch.look(self.page)

    def follow(
        self, name: str | re.Pattern[str], within: Locator | None = None
    ) -> None:
        """Follow a link."""
        (within or self.page).get_by_role("link", name=name, exact=True).first.click()
        self.look()

    def press(self, name: str) -> None:
        """Press a button that leads to another page."""
        with self.page.expect_navigation():
            self.page.get_by_role("button", name=name, exact=True).first.click()
        self.look()

    def type(self, label: str | re.Pattern[str], value: str) -> None:
        """Type into the field of that label."""
        self.page.get_by_label(label).first.fill(value)

    def choose(self, label: str, option: str) -> None:
        """Choose from a list."""
        self.page.get_by_label(label).first.select_option(label=option)

    def tick(self, name: str | re.Pattern[str]) -> None:
        """Tick a box or one of several choices."""
        box = self.page.get_by_role("checkbox", name=name)
        box.or_(self.page.get_by_role("radio", name=name)).first.check()

    def answer(self, question: str, answer: str) -> None:
        """Choose one of a question's answers."""
        group = self.page.get_by_role("group", name=question)
        group.get_by_role("radio", name=answer, exact=True).check()

    def sees(self, text: str | re.Pattern[str]) -> None:
        """The page says so."""
        expect(self.page.get_by_text(text).first).to_be_visible()

    def wait_for(self, text: str) -> None:
        """The page says so after some work in the background."""
        expect(self.page.get_by_text(text).first).to_be_visible(timeout=60_000)

    def log_in(self, email: str, password: str) -> None:
        """Through the door."""
        self.go("/log-in/")
        self.type("Email", email)
        self.type("Password", password)
        self.press("Log in")


@dataclass(slots=True)
class Screens:
    """A browser and the site it visits; one watch for all that is seen."""

    browser: Browser
    site: str
    watch: Watch = field(default_factory=Watch)

    @contextmanager
    def open(self, size: ViewportSize, **more: Any) -> Iterator[Visitor]:
        """A screen of its own, without anybody's cookies."""
        is_phone = size is PHONE
        context: BrowserContext = self.browser.new_context(
            viewport=size,
            locale="en-AU",
            timezone_id="Australia/Sydney",
            has_touch=is_phone,
            is_mobile=is_phone,
            **more,
        )
        context.set_default_timeout(TIMEOUT_MS)
        page = context.new_page()
        self.watch.listen(page)
        scripts = more.get("java_script_enabled", True)
        yield Visitor(page, self.site, self.watch if scripts else None)
        context.close()
