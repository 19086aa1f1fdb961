"""Debian's own Chromium, driven by Playwright; tests are skipped where it is missing."""

import os
import shutil
from collections.abc import Iterator
from contextlib import contextmanager

import pytest
from playwright.sync_api import Browser, sync_playwright

QUIET = [
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
]
SAYS = "Chromium is not installed (apt-get install chromium)."


def where() -> str:
    """The program; skips without one, or fails where one must be there."""
    found = shutil.which("chromium") or shutil.which("chromium-browser")
    if found:
        return found
    if os.environ.get("EAVESLINE_NEEDS_BROWSER"):
        pytest.fail(SAYS)
    pytest.skip(SAYS)


@contextmanager
def launched() -> Iterator[Browser]:
    """A browser without a window, closed afterwards."""
    program = where()
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=program, args=QUIET)
        yield browser
        browser.close()
