"""Read the demo scenario. Days in it are working days from the day the demo is made."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import yaml
from django.conf import settings

FOLDER: Path = settings.BASE_DIR / "fixtures" / "demo"


@dataclass(frozen=True, slots=True)
class Step:
    """One line of a story."""

    day: int
    do: str
    job: str
    details: Mapping[str, Any] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Scenario:
    """The firm and the stories of its jobs."""

    firm: Mapping[str, Any]
    jobs: Mapping[str, Mapping[str, Any]]
    steps: tuple[Step, ...]


def load() -> Scenario:
    """The scenario in fixtures/demo."""
    firm, jobs = _read("firm.yaml"), _read("jobs.yaml")
    stories = jobs["stories"]
    listed = {job["key"]: job for job in jobs["jobs"]}
    steps = tuple(
        step for key, job in listed.items() for step in _steps(key, job, stories)
    )
    return Scenario(firm, listed, steps)


def _read(name: str) -> dict[str, Any]:
    loaded: dict[str, Any] = yaml.safe_load((FOLDER / name).read_text("utf-8"))
    return loaded


def _steps(
    key: str, job: Mapping[str, Any], stories: Mapping[str, Any]
) -> Iterator[Step]:
    for line in job["story"]:
        if "play" in line:
            for told in stories[line["play"]]:
                yield _step(key, told, shift=line["from"])
        else:
            yield _step(key, line, shift=0)


def _step(key: str, line: Mapping[str, Any], *, shift: int) -> Step:
    details = {name: line[name] for name in line if name not in {"day", "do"}}
    return Step(line["day"] + shift, line["do"], key, details)
