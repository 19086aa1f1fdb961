"""Which system libraries are missing, in words, before anything needs them."""

import ctypes
import ctypes.util
from collections.abc import Iterator

# WeasyPrint draws text with these; each with the Debian package that has it.
_NEEDED = {
    "pango-1.0": ("libpango-1.0.so.0", "libpango-1.0-0"),
    "pangoft2-1.0": ("libpangoft2-1.0.so.0", "libpangoft2-1.0-0"),
    "harfbuzz-subset": ("libharfbuzz-subset.so.0", "libharfbuzz-subset0"),
}


def missing_packages() -> list[str]:
    """Debian names of the packages that PDF files need and this machine lacks."""
    return list(_missing())


def _missing() -> Iterator[str]:
    for name, (file, package) in _NEEDED.items():
        if not _loads(file) and not _loads(ctypes.util.find_library(name)):
            yield package


def _loads(name: str | None) -> bool:
    if not name:
        return False
    try:
        ctypes.CDLL(name)
    except OSError:
        return False
    return True
