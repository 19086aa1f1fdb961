"""Make the README's pictures from the demo, in the system's own Chromium."""

import os
import shutil
import subprocess
import sys
import tempfile
import time
import urllib.request
from argparse import ArgumentParser
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

from django.conf import settings
from django.core.management.base import BaseCommand, CommandError
from playwright.sync_api import Browser, sync_playwright

from config.demo.scenario import load
from config.processes import web_command

CHROMIUM_FLAGS = ["--no-sandbox", "--disable-gpu", "--disable-background-networking"]
WIDE, PHONE = (1360, 1000), (390, 844)

# File, who looks, where, and on what size of screen.
_PICTURES = [
    ("office-today", "office", "/", WIDE),
    ("office-job", "office", "/jobs/{marrow}/", WIDE),
    ("office-plan", "office", "/plan/", WIDE),
    ("owner-compliance", "owner", "/compliance/", WIDE),
    ("lead-day", "lead", "/jobs/{marrow}/day/", PHONE),
]


class Command(BaseCommand):
    """Needs Chromium and pdftoppm; the demo is made in a folder that is thrown away."""

    help = "Make the pictures of the README from a fresh demo."

    def add_arguments(self, parser: ArgumentParser) -> None:
        """Where to put them, and which browser to use."""
        parser.add_argument("--out", type=Path, default=settings.BASE_DIR / ".readme")
        parser.add_argument("--chromium", default=shutil.which("chromium"))
        parser.add_argument("--port", type=int, default=8765)

    def handle(self, *args: Any, **options: Any) -> None:
        """Make the demo, serve it, look at it."""
        if not options["chromium"]:
            raise CommandError("Install chromium, or say where it is with --chromium.")
        out: Path = options["out"]
        out.mkdir(exist_ok=True)
        with tempfile.TemporaryDirectory() as folder:
            environment = {**os.environ, "EAVESLINE_DATA": folder}
            demo = [sys.executable, "manage.py", "demo", "--no-serve", "--out", folder]
            subprocess.run(demo, env=environment, check=True, cwd=settings.BASE_DIR)
            with served(options["port"], environment), sync_playwright() as playwright:
                browser = playwright.chromium.launch(
                    executable_path=options["chromium"], args=CHROMIUM_FLAGS
                )
                take(browser, f"http://127.0.0.1:{options['port']}", out)
            page_of_statement(Path(folder), out)
        self.stdout.write(f"The pictures are in {out}.")


@contextmanager
def served(port: int, environment: dict[str, str]) -> Iterator[None]:
    """The web server alone, for as long as the block lasts."""
    server = subprocess.Popen(
        web_command(f"127.0.0.1:{port}", workers=1),
        env=environment,
        cwd=settings.BASE_DIR,
    )
    try:
        _wait_for(f"http://127.0.0.1:{port}/log-in/")
        yield
    finally:
        server.terminate()
        server.wait()


def _wait_for(url: str, seconds: float = 30) -> None:
    until = time.monotonic() + seconds
    while time.monotonic() < until:
        try:
            with urllib.request.urlopen(url):  # noqa: S310 - our own server
                return
        except OSError:
            time.sleep(0.2)
    raise CommandError(f"{url} did not answer.")


def take(browser: Browser, base: str, out: Path) -> None:
    """Take every picture, logged in as who looks."""
    told = load()
    emails = {
        row["roles"][0]: row["email"] for row in reversed(told.firm["people"][:3])
    }
    logins = {
        "office": emails["office"],
        "owner": emails["owner"],
        "lead": emails["site_lead"],
    }
    numbers = _job_ids(browser, base, logins["office"], told.firm["password"])
    for name, who, path, (width, height) in _PICTURES:
        context = browser.new_context(viewport={"width": width, "height": height})
        page = context.new_page()
        _log_in(page, base, logins[who], told.firm["password"])
        page.goto(base + path.format(**numbers))
        page.screenshot(path=out / f"{name}.png")
        context.close()


def _job_ids(browser: Browser, base: str, email: str, password: str) -> dict[str, str]:
    page = browser.new_page()
    _log_in(page, base, email, password)
    page.goto(f"{base}/jobs/")
    title = load().jobs["marrow"]["title"]
    href = page.get_by_role("link", name=title).first.get_attribute("href") or ""
    page.close()
    return {"marrow": href.strip("/").split("/")[-1]}


def _log_in(page: Any, base: str, email: str, password: str) -> None:
    page.goto(f"{base}/log-in/")
    page.get_by_label("Email").fill(email)
    page.get_by_label("Password").fill(password)
    page.get_by_role("button", name="Log in").click()
    page.wait_for_url(f"{base}/")


def page_of_statement(folder: Path, out: Path) -> None:
    """The page of the demo's statement that shows the first steps."""
    pdf = next(folder.glob("statement-*.pdf"))
    command = ["pdftoppm", "-r", "90", "-f", "6", "-l", "6", "-singlefile", "-png"]
    subprocess.run([*command, str(pdf), str(out / "statement-page")], check=True)
