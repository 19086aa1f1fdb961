"""``manage.py test`` runs pytest, which is how this project is tested."""

import subprocess
import sys
from typing import Any

from django.conf import settings
from django.core.management.base import BaseCommand


class Command(BaseCommand):
    """Everything after ``test`` goes to pytest."""

    help = "Run the tests with pytest; arguments are passed on."
    requires_system_checks: list[str] = []

    def run_from_argv(self, argv: list[str]) -> None:
        """Skip Django's own argument parsing."""
        self.execute_pytest(argv[2:])

    def handle(self, *args: Any, **options: Any) -> None:
        """Run all of it (through ``call_command``)."""
        self.execute_pytest([])

    def execute_pytest(self, arguments: list[str]) -> None:
        """Hand over to pytest in a fresh process and end with its code."""
        own = any(a.startswith("-n") for a in arguments)
        spread = [] if own else ["-n", "auto", "--dist", "worksteal"]
        command = [sys.executable, "-m", "pytest", *spread, *arguments]
        raise SystemExit(subprocess.call(command, cwd=settings.BASE_DIR))
