"""The installation's secret key, kept in a file that only its owner can read."""

import os
import secrets
from pathlib import Path

from django.core.exceptions import ImproperlyConfigured


def keep_secret_key(path: Path) -> str:
    """Read the key from ``path``; make it first when there is none.

    ``O_EXCL`` means two processes starting at once agree on one key.
    """
    try:
        handle = os.open(path, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600)
    except FileExistsError:
        return _read(path)
    with os.fdopen(handle, "w", encoding="ascii") as file:
        key = secrets.token_urlsafe(64)
        file.write(key)
    return key


def _read(path: Path) -> str:
    if path.stat().st_mode & 0o077:
        raise ImproperlyConfigured(
            f"{path} can be read by others. Run: chmod 600 {path}"
        )
    key = path.read_text(encoding="ascii").strip()
    if not key:
        raise ImproperlyConfigured(f"{path} is empty. Delete it and start again.")
    return key
