"""Panels of the job page: each app offers its own, in the order of a setting.

A panels module has ``panels(request, job, holds) -> Iterable[Panel]``; it decides by
the person's capabilities what to offer. A panel's template is what stands under its
title: the page makes the section, its anchor and its heading. It sees the names in its
``context`` beside those of the page (``job``, ``can``, ``panel``).
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from functools import cache
from importlib import import_module
from types import ModuleType
from typing import Any

from django.conf import settings
from django.http import HttpRequest

from jobs.domain.holds import Hold
from jobs.models import Job


@dataclass(frozen=True, slots=True)
class Panel:
    """One part of the job page."""

    key: str  # anchor on the page
    title: str
    template: str
    order: int
    context: Mapping[str, Any] = field(default_factory=dict)


@cache
def _modules() -> tuple[ModuleType, ...]:
    return tuple(import_module(name) for name in settings.JOB_PANELS)


def panels(request: HttpRequest, job: Job, holds: Iterable[Hold]) -> list[Panel]:
    """All panels for this person, in page order."""
    listed = list(holds)
    found = [
        panel for module in _modules() for panel in module.panels(request, job, listed)
    ]
    return sorted(found, key=lambda panel: panel.order)
