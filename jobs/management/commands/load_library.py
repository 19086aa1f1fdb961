"""Bring in the shipped libraries."""

from typing import Any

from django.core.management.base import BaseCommand

from jobs.services.library import load_shipped


class Command(BaseCommand):
    """Safe to run again; a text that the firm changed is left alone."""

    help = "Bring new and changed library texts in; keep the firm's own changes."

    def handle(self, *args: Any, **options: Any) -> None:
        """Load, and say what happened."""
        loaded = load_shipped()
        if options["verbosity"] == 0:
            return
        for words, names in (
            ("Added", loaded.added),
            ("Updated", loaded.updated),
            ("Kept as the firm changed it", loaded.kept),
        ):
            for name in names:
                self.stdout.write(f"{words}: {name}")
        if not (loaded.added or loaded.updated):
            self.stdout.write("The libraries are up to date.")
