"""Everything at once: an invented firm, alive today, served with a worker beside it."""

import os
from argparse import ArgumentParser
from collections.abc import Mapping
from datetime import datetime
from pathlib import Path
from typing import Any
from zoneinfo import ZoneInfo

from django.conf import settings
from django.core.management.base import BaseCommand, CommandError
from django.utils import timezone

from config.demo.days import WorkingDays
from config.demo.made import make_files, solve_schedule, work_plans_out
from config.demo.people import make_firm
from config.demo.scenario import Scenario, load
from config.demo.story import replay
from config.management.commands.serve import prepare
from config.processes import Together, beat_command, web_command, worker_command
from jobs.models import Firm, Job


def with_own_address(environment: Mapping[str, str], port: int) -> Mapping[str, str]:
    """The environment, with the demo's own address in links unless one is given."""
    if {"SITE_URL", "SITE_URL_FILE"} & environment.keys():
        return environment
    return {**environment, "SITE_URL": f"http://127.0.0.1:{port}"}


class Command(BaseCommand):
    """See the README."""

    help = (
        "Make the demo firm (once), compute every hazard plan, solve the schedule, write "
        "a statement PDF and a calendar file, and serve it all. Safe to run again."
    )

    def add_arguments(self, parser: ArgumentParser) -> None:
        """Where to serve, where to write."""
        parser.add_argument(
            "--no-serve", action="store_true", help="stop before serving"
        )
        parser.add_argument("--port", type=int, default=8000)
        parser.add_argument(
            "--out",
            type=Path,
            default=settings.DATA_DIR / "demo-out",
            help="folder for the PDF and the calendar file",
        )

    def handle(self, *args: Any, **options: Any) -> None:
        """Prepare, replay, solve, write, serve."""
        environment = with_own_address(os.environ, options["port"])
        # For the calendar that this process writes by itself.
        settings.SITE_URL = environment.get("SITE_URL", settings.SITE_URL)
        prepare(self)
        self._fill(load(), timezone.now())
        say = self.stdout.write
        for path in make_files(options["out"], at=timezone.now(), say=say):
            self.stdout.write(f"Written: {path}")
        if not options["no_serve"]:
            self._serve(options["port"], environment)

    def _fill(self, scenario: Scenario, now: datetime) -> None:
        firm = Firm.objects.filter(pk=1).first()
        if firm is not None and not firm.is_demo:
            raise CommandError(
                f"{settings.DATA_DIR} holds the records of “{firm.name}”. The demo never "
                "mixes with real records: set EAVESLINE_DATA to another folder."
            )
        if firm is None:
            self._replay(scenario, now)
            solve_schedule(at=timezone.now(), say=self.stdout.write)
        self.stdout.write(f"{Job.objects.count()} jobs are in the demo.")
        work_plans_out(at=timezone.now(), say=self.stdout.write)

    def _replay(self, scenario: Scenario, now: datetime) -> None:
        zone = ZoneInfo(scenario.firm["firm"]["time_zone"])
        days = WorkingDays(now, zone, scenario.firm["firm"]["pack"])
        firm = make_firm(scenario.firm, days)
        began, told = days.at(-110, "08:00"), 0

        def tick(at: datetime) -> None:
            nonlocal told
            share = int(100 * ((at - began) / (now - began)))
            if share >= told + 5:
                told = share
                self.stdout.write(f"  replaying the stories of the jobs: {share} %")

        self.stdout.write("Making the demo firm (once, under a minute) …")
        replay(scenario, firm, days, tick)

    def _serve(self, port: int, environment: Mapping[str, str]) -> None:
        together = Together(environment)
        together.start("web server", web_command(f"127.0.0.1:{port}", workers=1))
        together.start("worker", worker_command(processes=1))
        together.start("clock", beat_command())
        self.stdout.write(
            f"\nThe demo is at http://127.0.0.1:{port}/ (Ctrl-C ends it)."
        )
        self._say_logins()
        if code := together.wait():
            raise SystemExit(code)

    def _say_logins(self) -> None:
        told = load().firm
        self.stdout.write(f"Log in with the password {told['password']} as")
        shown = set()
        for row in told["people"]:
            role = row["roles"][0].replace("_", " ")
            if role not in shown and "email" in row:
                shown.add(role)
                self.stdout.write(f"  {role:<10} {row['email']}")
