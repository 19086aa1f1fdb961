"""Strict readers of environment variables: a bad value stops the start, with its name."""

import os
from pathlib import Path

from django.core.exceptions import ImproperlyConfigured

_YES = {"1", "true", "yes", "on"}
_NO = {"0", "false", "no", "off", ""}


def text(name: str, default: str = "") -> str:
    """A string; ``NAME_FILE`` may name a file that holds it instead."""
    from_file = os.environ.get(f"{name}_FILE")
    if from_file:
        return Path(from_file).read_text(encoding="utf-8").strip()
    return os.environ.get(name, default)


def flag(name: str, default: bool) -> bool:
    """Yes or no."""
    raw = os.environ.get(name)
    if raw is None:
        return default
    if raw.lower() in _YES:
        return True
    if raw.lower() in _NO:
        return False
    raise ImproperlyConfigured(f"{name} must be yes or no, not {raw!r}.")


def number(name: str, default: int) -> int:
    """A whole number."""
    raw = os.environ.get(name)
    if not raw:
        return default
    try:
        return int(raw)
    except ValueError:
        raise ImproperlyConfigured(
            f"{name} must be a whole number, not {raw!r}."
        ) from None


def words(name: str, default: str = "") -> list[str]:
    """A comma-separated list."""
    return [word.strip() for word in text(name, default).split(",") if word.strip()]
