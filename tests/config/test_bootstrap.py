"""From a bare Python to a running command, and clear words when that fails."""

import subprocess
import sys

import pytest

from config import bootstrap


def test_an_old_python_is_told_so(monkeypatch):
    monkeypatch.setattr(sys, "version_info", (3, 9, 0))
    with pytest.raises(SystemExit, match=r"needs Python 3\.11"):
        bootstrap.enter_environment()


def test_a_missing_venv_module_names_the_package(monkeypatch, tmp_path):
    monkeypatch.setattr(bootstrap, "VENV", tmp_path / "venv")
    monkeypatch.setattr(sys, "executable", "/bin/false")
    with pytest.raises(SystemExit, match="python3-venv"):
        bootstrap._make()


def test_packages_are_installed_once_per_pins(monkeypatch, tmp_path):
    calls: list[list[str]] = []

    def run(command, **_):
        calls.append(command)
        return subprocess.CompletedProcess(command, 0)

    monkeypatch.setattr(bootstrap, "STAMP", tmp_path / "installed")
    monkeypatch.setattr(subprocess, "run", run)
    bootstrap._install_when_changed()
    bootstrap._install_when_changed()
    assert len(calls) == 2  # pip itself, then everything in one go
    assert any("weasyprint" in word for word in calls[1])


def test_every_dependency_is_pinned():
    pins = {
        line.split("==")[0].lower().replace("_", "-")
        for line in bootstrap.CONSTRAINTS.read_text().splitlines()
        if "==" in line
    }
    names = {
        name.split("[")[0].split(">")[0].split("~")[0].lower()
        for name in bootstrap._runtime()
    }
    assert names <= pins


def test_tests_run_under_their_own_settings():
    assert bootstrap.settings_for(["manage.py", "test", "-x"]) == "config.settings_test"
    assert bootstrap.settings_for(["manage.py", "serve"]) == "config.settings"


def test_it_needs_nothing_that_is_not_installed_yet():
    bare = [sys.executable, "-S", "-c", "from config import bootstrap"]
    ran = subprocess.run(bare, cwd=bootstrap.BASE, capture_output=True, check=False)
    assert ran.stderr == b""


@pytest.mark.parametrize("command", ["test", "bench"])
def test_tests_and_measurements_leave_real_records_alone(command):
    assert bootstrap.settings_for(["manage.py", command]) == "config.settings_test"
    assert bootstrap.settings_for(["manage.py", "serve"]) == "config.settings"
