"""A firm's installation, served as ``manage.py serve`` does it, at a time of day we choose."""

import os
import re
import socket
import sys
import time
import urllib.error
import urllib.request
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path

from tests.installation import Installation, installed, wait_until

CLOCK = Path(__file__).parent / "clock"


@dataclass(slots=True)
class Served:
    """An installation, and the address it answers at."""

    place: Installation
    port: int

    @property
    def url(self) -> str:
        """Where it is."""
        return f"http://127.0.0.1:{self.port}"

    def start(self, at: datetime) -> None:
        """Serve, as if it were that moment now; stop what was served before."""
        for process in list(self.place.running):
            self.place.end(process)
        self.place.environment["CLOCK_IS_OFF_BY_S"] = str(at.timestamp() - time.time())
        command = [sys.executable, "manage.py", "serve", "--port", str(self.port)]
        self.place.start(command, "serve")
        wait_until(self._answers, seconds=60, or_else=lambda: self.place.said("serve"))

    def _answers(self) -> bool:
        try:
            with urllib.request.urlopen(f"{self.url}/log-in/", timeout=5) as page:
                return bool(page.status == 200)
        except (urllib.error.URLError, OSError):
            return False

    def read(self, url: str) -> bytes:
        """What another program gets from an address."""
        with urllib.request.urlopen(url, timeout=10) as answer:
            return bytes(answer.read())

    def link_in_mail(self, email: str) -> str:
        """The way to a password that was sent to somebody: the path of its address."""
        letters = wait_until(
            lambda: [text for text in self._letters() if f"To: {email}" in text]
        )
        found = re.search(rf"{self.url}(\S+)", letters[-1])
        assert found is not None, letters[-1]
        return found[1]

    def _letters(self) -> list[str]:
        files = sorted((self.place.folder / "outbox").glob("*"), key=os.path.getmtime)
        return [file.read_text(encoding="utf-8") for file in files]


def free_port() -> int:
    """A port that nobody listens at."""
    with socket.socket() as listener:
        listener.bind(("127.0.0.1", 0))
        return int(listener.getsockname()[1])


@contextmanager
def served(folder: Path) -> Iterator[Served]:
    """An empty installation that is not started yet; gone afterwards."""
    with installed(folder) as place:
        found = Served(place, free_port())
        place.environment |= {"PYTHONPATH": str(CLOCK), "SITE_URL": found.url}
        place.environment["CLOCK_IS_OFF_BY_S"] = "0"
        yield found
