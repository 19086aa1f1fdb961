"""A whole installation in a folder of its own, as a firm runs it.

On the embedded database and queue by default; with ``DATABASE_URL`` and ``REDIS_URL`` on a
scratch database of that server and another of Redis's numbered databases.
"""

import json
import os
import signal
import sqlite3
import subprocess
import sys
import time
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager, suppress
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any
from urllib.parse import urlsplit, urlunsplit
from uuid import uuid4

import psycopg
import redis
from django.conf import settings

ROOT: Path = settings.BASE_DIR
OWN = ("SECRET_KEY", "EAVESLINE_DATA", "DJANGO_SETTINGS_MODULE", "PYTEST_XDIST_WORKER")
GRACE_S = 25.0


@dataclass(slots=True)
class Installation:
    """Where it is, and the processes that were started in it."""

    folder: Path
    environment: dict[str, str]
    running: list[subprocess.Popen[bytes]] = field(default_factory=list)

    def manage(self, *arguments: str) -> str:
        """Run one of our commands to its end."""
        return self._run([sys.executable, "manage.py", *arguments])

    def python(self, code: str) -> Any:
        """Run some lines with the apps loaded; what they print last is JSON."""
        whole = f"import json, django\ndjango.setup()\n{code}"
        said = self._run([sys.executable, "-c", whole]).strip()
        return json.loads(said.splitlines()[-1]) if said else None

    def prepare(self) -> None:
        """Make the database, the libraries and the static files, as ``serve`` does."""
        self.python(
            "from django.core.management.base import BaseCommand\n"
            "from config.management.commands.serve import prepare\n"
            "prepare(BaseCommand())"
        )

    def _run(self, command: Sequence[str]) -> str:
        ran = subprocess.run(
            command,
            cwd=ROOT,
            env=self.environment,
            capture_output=True,
            text=True,
            check=False,
        )
        assert ran.returncode == 0, f"{ran.stdout}\n{ran.stderr}"
        return ran.stdout

    def start(self, command: Sequence[str], name: str) -> subprocess.Popen[bytes]:
        """Start something that goes on; what it says is kept beside the records."""
        with (self.folder / f"{name}.log").open("ab") as log:
            process = subprocess.Popen(
                list(command),
                cwd=ROOT,
                env=self.environment,
                stdout=log,
                stderr=log,
                start_new_session=True,
            )
        self.running.append(process)
        return process

    def said(self, name: str) -> str:
        """What a process has said so far."""
        return (self.folder / f"{name}.log").read_text(encoding="utf-8")

    def rows(self, sql: str) -> list[tuple[Any, ...]]:
        """Read from the records without going through our own code."""
        url = self.environment.get("DATABASE_URL")
        if url:
            with psycopg.connect(url) as server:
                return server.execute(sql).fetchall()
        with sqlite3.connect(self.folder / "eavesline.sqlite3", timeout=20) as file:
            return file.execute(sql).fetchall()

    def end(self, process: subprocess.Popen[bytes]) -> None:
        """Ask a process to end what it started and itself."""
        self.running.remove(process)
        process.terminate()
        process.wait(GRACE_S)

    def kill(self, process: subprocess.Popen[bytes]) -> None:
        """Have a process and its children gone at once, as when the power fails."""
        self.running.remove(process)
        with suppress(ProcessLookupError):
            os.killpg(process.pid, signal.SIGKILL)
        process.wait(GRACE_S)

    def end_all(self) -> None:
        """Leave nothing running."""
        for process in list(self.running):
            self.end(process)


@contextmanager
def installed(folder: Path) -> Iterator[Installation]:
    """An empty installation, gone afterwards with all that runs in it."""
    kept = {name: value for name, value in os.environ.items() if name not in OWN}
    data = {"EAVESLINE_DATA": str(folder), "DJANGO_SETTINGS_MODULE": "config.settings"}
    with _database() as database, _queue() as queue:
        place = Installation(folder, {**kept, **data, **database, **queue})
        try:
            yield place
        finally:
            place.end_all()


@contextmanager
def _database() -> Iterator[dict[str, str]]:
    url = os.environ.get("DATABASE_URL")
    if not url:
        yield {}
        return
    name = f"scratch_{uuid4().hex[:12]}"
    with psycopg.connect(url, autocommit=True) as server:
        server.execute(f'CREATE DATABASE "{name}"')
        try:
            yield {"DATABASE_URL": urlunsplit(urlsplit(url)._replace(path=f"/{name}"))}
        finally:
            server.execute(f'DROP DATABASE "{name}" WITH (FORCE)')


@contextmanager
def _queue() -> Iterator[dict[str, str]]:
    """One of Redis's databases that nobody uses; the first is that of the other tests."""
    url = os.environ.get("REDIS_URL")
    if not url:
        yield {}
        return
    for number in range(1, 16):
        own = urlunsplit(urlsplit(url)._replace(path=f"/{number}"))
        with redis.Redis.from_url(own) as server:
            if not server.set("taken", "yes", nx=True):
                continue
            try:
                yield {"REDIS_URL": own}
            finally:
                server.flushdb()
            return
    raise RuntimeError("all of Redis's databases are taken")


def wait_until(
    true: Callable[[], Any], *, seconds: float = 30.0, or_else: Callable[[], str] = str
) -> Any:
    """The first answer that is not empty; fails with ``or_else`` when it takes too long."""
    deadline = time.monotonic() + seconds
    while time.monotonic() < deadline:
        if answer := true():
            return answer
        time.sleep(0.05)
    raise AssertionError(f"waited {seconds:g} s in vain. {or_else()}")
