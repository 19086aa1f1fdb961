"""What the layout promises and a linter cannot see."""

import re
import subprocess
import sys
from pathlib import Path

import pytest
from django.conf import settings

ROOT = settings.BASE_DIR
APPS = ("config", "jobs", "scheduling", "safety")
CODE = [
    path
    for app in APPS
    for path in sorted((ROOT / app).rglob("*.py"))
    if "migrations" not in path.parts
]
TOP = {
    "README.md",
    "DEVELOPERS.md",
    "manage.py",
    "pyproject.toml",
    "jobs",
    "safety",
    "scheduling",
    "templates",
    "tests",
    "fixtures",
    "config",
    "LICENSE",
}


def lines(path: Path) -> int:
    return len(path.read_text(encoding="utf-8").splitlines())


def test_no_module_is_longer_than_400_lines():
    long = {str(p.relative_to(ROOT)): lines(p) for p in CODE if lines(p) > 400}
    assert long == {}


@pytest.mark.parametrize("name", ["utils", "helpers", "common", "core", "misc"])
def test_no_module_without_a_noun(name):
    assert [p for p in CODE if p.stem == name or name in p.parent.parts[-1:]] == []


def test_tasks_are_started_in_one_place():
    started = re.compile(r"\.(delay|apply_async|send_task)\(")
    where = {p.relative_to(ROOT) for p in CODE if started.search(p.read_text())}
    assert where == {Path("jobs/background.py")}


def test_templates_carry_no_inline_script_or_style():
    inline = re.compile(r"<script(?![^>]*\bsrc=)[^>]*>|<style\b|\sstyle=|\son[a-z]+=")
    papers = ("pdf", "email")  # a PDF has no policy and needs its styles inside
    pages = [
        p
        for p in (ROOT / "templates").rglob("*.html")
        if not any(word in p.stem for word in papers)
    ]
    assert pages
    assert [p.name for p in pages if inline.search(p.read_text())] == []


def test_nothing_else_lies_at_the_top():
    listed = subprocess.run(
        ["git", "ls-files"], cwd=ROOT, capture_output=True, text=True, check=True
    )
    top = {line.split("/")[0] for line in listed.stdout.splitlines()}
    assert {name for name in top if not name.startswith(".")} <= TOP


def test_the_web_process_does_not_load_the_solver():
    """About 80 MB and half a second that only the worker should pay."""
    code = (
        "import django, sys; django.setup()\n"
        "from django.urls import get_resolver; get_resolver().url_patterns\n"
        "import config.wsgi\n"
        "print([m for m in ('ortools', 'pandas', 'numpy') if m in sys.modules])"
    )
    ran = subprocess.run(
        [sys.executable, "-c", code],
        cwd=ROOT,
        capture_output=True,
        text=True,
        check=True,
        env={
            "DJANGO_SETTINGS_MODULE": "config.settings_test",
            "PATH": "/usr/bin:/bin",
        },
    )
    assert ran.stdout.strip() == "[]"


def test_no_file_names_what_it_must_not():
    """A machine's own paths and the hosts of package registries stay out."""
    words = ["py" + "pi.org", "python" + "hosted", "npm" + "js.", "/wo" + "rk/"]
    found = subprocess.run(
        ["git", "grep", "-nIiE", "|".join(words).replace(".", r"\.")],
        cwd=ROOT,
        capture_output=True,
        text=True,
        check=False,
    )
    assert found.stdout == ""
