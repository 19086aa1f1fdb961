"""Run the web server, the worker and the clock as one thing to start and stop."""

import signal
import subprocess
import sys
import time
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from types import FrameType

GRACE_S = 20.0  # how long a process may take to end before it is killed


@dataclass(slots=True)
class Together:
    """Processes that live and die together."""

    environment: Mapping[str, str]
    running: dict[str, subprocess.Popen[bytes]] = field(default_factory=dict)
    stopping: bool = False

    def start(self, name: str, command: Sequence[str]) -> None:
        """Start one process under a name."""
        self.running[name] = subprocess.Popen(  # noqa: S603 - our own commands
            list(command),
            env=dict(self.environment),
            start_new_session=True,  # Ctrl-C comes to us alone; we end them in order
        )

    def wait(self) -> int:
        """Wait until told to stop or until one of them ends; then end the others.

        Returns 0 when told to stop, otherwise the exit code of the one that ended.
        """
        for number in (signal.SIGINT, signal.SIGTERM):
            signal.signal(number, self._stop)
        ended = None
        while not self.stopping and ended is None:
            time.sleep(0.2)
            ended = next(
                (
                    (name, process.returncode)
                    for name, process in self.running.items()
                    if process.poll() is not None
                ),
                None,
            )
        self.end_all()
        if ended is None:
            return 0
        name, code = ended
        sys.stderr.write(f"The {name} ended by itself with code {code}.\n")
        return code or 1

    def _stop(self, _number: int, _frame: FrameType | None) -> None:
        self.stopping = True

    def end_all(self) -> None:
        """Ask all to end, and kill what does not."""
        for process in self.running.values():
            if process.poll() is None:
                process.terminate()
        deadline = time.monotonic() + GRACE_S
        for process in self.running.values():
            try:
                process.wait(max(deadline - time.monotonic(), 0.1))
            except subprocess.TimeoutExpired:
                process.kill()


def web_command(address: str, *, workers: int) -> list[str]:
    """Gunicorn with threads. More than one process needs Redis for the cache."""
    return [
        sys.executable,
        "-m",
        "gunicorn",
        "config.wsgi:application",
        "--bind",
        address,
        "--workers",
        str(workers),
        "--threads",
        "8",
        "--timeout",
        "60",
        "--worker-tmp-dir",
        "/dev/shm" if sys.platform == "linux" else "/tmp",  # noqa: S108 - heartbeat only
        "--log-level",
        "warning",
    ]


def worker_command(*, processes: int) -> list[str]:
    """The Celery worker."""
    return [
        sys.executable,
        "-m",
        "celery",
        "--app",
        "config",
        "worker",
        "--concurrency",
        str(processes),
        "--without-gossip",
        "--without-mingle",
        "--without-heartbeat",
        "--loglevel",
        "warning",
    ]


def beat_command() -> list[str]:
    """The clock that starts what happens by itself."""
    return [sys.executable, "-m", "celery", "--app", "config", "beat", "-l", "warning"]
