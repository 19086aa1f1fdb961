"""Measure speed, by name. A measurement prints ratios and asserts nothing."""

from argparse import ArgumentParser
from importlib import import_module
from typing import Any

from django.core.management.base import BaseCommand

# By name, the module that measures: it has ``add_arguments(parser)`` and
# ``run(options, write)``, and its first line says what it compares.
BENCHES = {
    "pages": "config.bench.pages",
    "plan": "config.bench.plan",
    "hazards": "config.bench.hazards",
    "firm": "config.bench.firm",
    "psplib": "config.bench.psplib",
}


class Command(BaseCommand):
    """``bench NAME``: loads the module of that name and runs it."""

    help = "Measure speed: what is compared is measured side by side, in one run."

    def add_arguments(self, parser: ArgumentParser) -> None:
        """A name, then what that measurement asks for."""
        names = parser.add_subparsers(dest="name", required=True)
        for name, path in BENCHES.items():
            bench = import_module(path)
            says = (bench.__doc__ or "").splitlines()[0]
            bench.add_arguments(names.add_parser(name, help=says, description=says))

    def handle(self, *args: Any, **options: Any) -> None:
        """Measure and print."""
        import_module(BENCHES[options["name"]]).run(options, self.stdout.write)
