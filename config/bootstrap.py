"""From a bare Python to a running command: environment, packages, system libraries.

Only the standard library may be imported here; this runs before anything is installed.
"""

import hashlib
import os
import subprocess
import sys
from pathlib import Path

BASE = Path(__file__).resolve().parent.parent
VENV = BASE / ".venv"
STAMP = VENV / "installed"
CONSTRAINTS = BASE / "config" / "constraints.txt"
OLDEST = (3, 11)

PACKAGES = """  Debian or Ubuntu:
    sudo apt-get install python3-venv libpango-1.0-0 libpangoft2-1.0-0 libharfbuzz-subset0
  Fedora:
    sudo dnf install pango
  macOS:
    brew install pango"""


def enter_environment() -> None:
    """Go on inside the project's own environment, made on first use.

    An environment that is already active is used as it is when Django is there;
    ``EAVESLINE_NO_VENV=1`` never makes one.
    """
    if sys.version_info < OLDEST:
        sys.exit(
            f"Eavesline needs Python 3.11 or newer; this is {sys.version.split()[0]}."
        )
    if os.environ.get("EAVESLINE_NO_VENV") or sys.prefix != sys.base_prefix:
        if sys.prefix == str(VENV):
            _install_when_changed()
        return
    if not (VENV / "bin" / "python").exists():
        _make()
    _hand_over()


def _make() -> None:
    print(f"Making an environment in {VENV} (once) …", flush=True)
    made = subprocess.run([sys.executable, "-m", "venv", str(VENV)], check=False)
    if made.returncode != 0:
        sys.exit(
            "Python could not make an environment. Its venv module is a system "
            f"package of its own on some systems:\n{PACKAGES}"
        )


def _hand_over() -> None:
    python = str(VENV / "bin" / "python")
    os.execv(python, [python, *sys.argv])  # noqa: S606 - our own interpreter, same arguments


def _install_when_changed() -> None:
    """Install the pinned packages; again only when the pins change."""
    wanted = _fingerprint()
    if STAMP.exists() and STAMP.read_text(encoding="ascii") == wanted:
        return
    print("Installing the pinned packages (once, a minute or two) …", flush=True)
    pip = [sys.executable, "-m", "pip", "install", "--quiet"]
    options = ["--disable-pip-version-check", "--constraint", str(CONSTRAINTS)]
    for names in (["pip>=25.1"], ["--group", "dev", *_runtime()]):
        done = subprocess.run([*pip, *options, *names], cwd=BASE, check=False)
        if done.returncode != 0:
            sys.exit(
                "The packages could not be installed. What pip said is above; "
                "the usual reason is no way to the package registry."
            )
    STAMP.write_text(wanted, encoding="ascii")


def _runtime() -> list[str]:
    import tomllib  # noqa: PLC0415 - not there before Python 3.11, checked above

    project = tomllib.loads((BASE / "pyproject.toml").read_text(encoding="utf-8"))
    return list(project["project"]["dependencies"])


def _fingerprint() -> str:
    parts = (BASE / "pyproject.toml", CONSTRAINTS)
    return hashlib.sha256(b"".join(part.read_bytes() for part in parts)).hexdigest()


def settings_for(argv: list[str]) -> str:
    """The settings module a command runs under: measuring leaves real records alone."""
    apart = argv[1:2] in (["test"], ["bench"])
    return "config.settings_test" if apart else "config.settings"


def run(argv: list[str]) -> None:
    """Run a Django command, with a plain message when a library is missing."""
    try:
        from django.core.management import execute_from_command_line  # noqa: PLC0415
    except ImportError:
        sys.exit(
            "Django is not installed here. Run python3 manage.py outside any other "
            "environment, and it will make its own."
        )
    execute_from_command_line(argv)
