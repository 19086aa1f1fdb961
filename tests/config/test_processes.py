"""Processes that serve runs live and die together."""

import os
import signal
import sys
import threading
import time

from config.processes import Together

SLEEP = [sys.executable, "-c", "import time; time.sleep(60)"]


def test_one_that_ends_ends_the_others(capsys):
    together = Together(os.environ)
    together.start("sleeper", SLEEP)
    together.start("quitter", [sys.executable, "-c", "raise SystemExit(3)"])
    assert together.wait() == 3
    assert together.running["sleeper"].poll() is not None
    assert "quitter ended by itself" in capsys.readouterr().err


def test_told_to_stop_all_end():
    together = Together(os.environ)
    together.start("sleeper", SLEEP)
    threading.Timer(0.5, lambda: os.kill(os.getpid(), signal.SIGTERM)).start()
    started = time.monotonic()
    assert together.wait() == 0
    assert together.running["sleeper"].poll() is not None
    assert time.monotonic() - started < 30
