"""Run a firm's real installation on the embedded default."""

import os
from argparse import ArgumentParser
from typing import Any

from django.conf import settings
from django.core.management import call_command
from django.core.management.base import BaseCommand, CommandError

from config.processes import (
    Together,
    beat_command,
    web_command,
    worker_command,
)
from config.system_libraries import missing_packages

# Weights of the typeface and scripts that no page asks for; compressing them is slow.
UNUSED_STATIC = [
    "*.otf",
    "*Black*",
    "*Light*",
    "*SemiboldIt*",
    "*BoldIt*",
    "ext",
    "*-4*",
]


class Command(BaseCommand):
    """Web server, worker and clock in one; no demo data, debug off."""

    help = (
        "Run Eavesline: a real web server, a worker and a clock, one process to start "
        "and stop. Makes the database and the secret key on first use."
    )

    def add_arguments(self, parser: ArgumentParser) -> None:
        """Where to listen and how many processes to use."""
        parser.add_argument("--port", type=int, default=8000)
        parser.add_argument(
            "--address", default="127.0.0.1", help="0.0.0.0 to be reached from outside"
        )
        parser.add_argument("--workers", type=int, default=1)

    def handle(self, *args: Any, **options: Any) -> None:
        """Prepare, start, wait, stop."""
        if settings.DEBUG:
            raise CommandError("DEBUG is on. Unset it: serve is for real use.")
        web_processes = self._web_processes()
        prepare(self)
        together = Together(os.environ)
        where = f"{options['address']}:{options['port']}"
        together.start("web server", web_command(where, workers=web_processes))
        together.start("worker", worker_command(processes=options["workers"]))
        together.start("clock", beat_command())
        self.stdout.write(
            f"Eavesline is at http://{where}/ — press Ctrl-C to stop it.\n"
            f"Its records are in {settings.DATA_DIR}; back that folder up."
        )
        code = together.wait()
        if code:
            raise SystemExit(code)

    def _web_processes(self) -> int:
        # Without Redis each process would count log-in tries for itself.
        return 2 if settings.REDIS_URL else 1


def prepare(command: BaseCommand) -> None:
    """Make the database, the libraries and the static files what they should be."""
    missing = missing_packages()
    if missing:
        command.stderr.write(
            command.style.WARNING(
                "PDF files cannot be made yet. Install: apt-get install "
                + " ".join(missing)
            )
        )
    call_command("migrate", verbosity=0, interactive=False)
    call_command("load_library", verbosity=0)
    call_command(
        "collectstatic",
        verbosity=0,
        interactive=False,
        ignore_patterns=[*UNUSED_STATIC, "CVS", ".*", "*~"],
    )
