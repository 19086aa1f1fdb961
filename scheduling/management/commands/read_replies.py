"""Take in answers to calendar invitations that a mail server put into files."""

import sys
from argparse import ArgumentParser
from collections.abc import Iterator
from email import message_from_bytes, policy
from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand, CommandError
from django.utils import timezone

from jobs.domain.refusals import Refused
from scheduling.feeds import replies_in
from scheduling.services.invitations import record_replies

STDIN = "-"
LARGEST = 1_000_000  # bytes; an answer is a few kilobytes


class Command(BaseCommand):
    """Reading the same file twice changes nothing."""

    help = (
        "Read answers to invitations from .eml and .ics files, from folders of them, or "
        "from standard input (-). How mail gets into files is your mail server's part: "
        "a folder that fetchmail or a delivery rule fills, or a pipe."
    )

    def add_arguments(self, parser: ArgumentParser) -> None:
        """Files, folders, or - for standard input."""
        parser.add_argument("paths", nargs="+", metavar="PATH")

    def handle(self, *args: Any, **options: Any) -> None:
        """Say of each file what came of it; refused ones do not stop the others."""
        taken = refused = 0
        for name, raw in _files(options["paths"]):
            try:
                replies = replies_in(_calendar(raw))
                row = record_replies(replies=replies, at=timezone.now())
            except Refused as error:
                refused += 1
                self.stderr.write(f"{name}: refused. {' '.join(error.reasons)}")
            else:
                taken += 1
                says = ", ".join(reply.answer.lower() for reply in replies)
                self.stdout.write(f"{name}: {row.person.name}, {says}.")
        self.stdout.write(f"{taken} taken in, {refused} refused.")


def _files(paths: list[str]) -> Iterator[tuple[str, bytes]]:
    for path in paths:
        if path == STDIN:
            yield "standard input", sys.stdin.buffer.read(LARGEST + 1)
            continue
        for file in _in(Path(path)):
            with file.open("rb") as opened:
                yield file.name, opened.read(LARGEST + 1)


def _in(path: Path) -> list[Path]:
    if path.is_dir():
        files = (file for file in path.iterdir() if file.is_file())
        return sorted(f for f in files if f.suffix.lower() in {".eml", ".ics"})
    if not path.is_file():
        raise CommandError(f"There is no file or folder {path}.")
    return [path]


def _calendar(raw: bytes) -> bytes:
    """The calendar itself: the file, or the calendar part of a mail (RFC 6047)."""
    if len(raw) > LARGEST:
        raise Refused("It is too large for an answer.")
    if raw.lstrip()[:15].upper() == b"BEGIN:VCALENDAR":
        return raw
    mail = message_from_bytes(raw, policy=policy.default)
    for part in mail.walk():
        if part.get_content_type() == "text/calendar":
            content = part.get_payload(decode=True)
            if isinstance(content, bytes):
                return content
    raise Refused("There is no calendar in it.")
