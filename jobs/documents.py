"""The door to WeasyPrint: HTML to tagged PDF, kept under the digest of what it shows.

WeasyPrint stands on system libraries and takes a second to load, so it is loaded when the
first PDF is asked for: pages work without it, and a missing library is a message.
"""

import logging
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from enum import StrEnum
from functools import cache
from importlib import import_module
from mimetypes import guess_type
from pathlib import Path
from types import ModuleType
from typing import TYPE_CHECKING, Any
from urllib.parse import unquote, urlsplit

from django.conf import settings
from django.contrib.staticfiles import finders
from django.contrib.staticfiles.storage import staticfiles_storage
from django.core.files.base import ContentFile
from django.db import IntegrityError, transaction

from jobs.models import RenderedFile
from jobs.queries.documents import rendered_file

if TYPE_CHECKING:
    import weasyprint  # noqa: F401 - shows the import contract where the door is

# What pages call their own files by; the host exists nowhere and is never asked.
BASE_URL = "http://eavesline.invalid/"
LIBRARIES = "libpango-1.0-0 libpangoft2-1.0-0 libharfbuzz-subset0"


class Standard(StrEnum):
    """The PDF standards a file may follow; both are tagged for screen readers."""

    UA = "pdf/ua-1"  # accessible
    A_3A = "pdf/a-3a"  # accessible and archival; the only one that may carry files


class MissingLibrary(RuntimeError):
    """A system library that WeasyPrint needs is not there."""

    def __init__(self, says: str) -> None:
        super().__init__(
            "PDF files cannot be made here: a system library is missing. On Debian or "
            f"Ubuntu run: sudo apt-get install {LIBRARIES} ({says.splitlines()[0]})"
        )


@dataclass(frozen=True, slots=True)
class Attachment:
    """A file carried inside a PDF, such as its content as JSON."""

    name: str
    data: bytes
    description: str
    relationship: str = "Source"  # ISO 32000-2 table 43: Source, Data, Supplement …


def render_pdf(
    html: str,
    *,
    kind: str,
    digest: str,
    at: datetime,
    attachments: Sequence[Attachment] = (),
    standard: Standard = Standard.UA,
) -> RenderedFile:
    """A page as a tagged PDF file; the one already made when there is one.

    ``html`` is a whole document with title and language; it may refer to our static
    files and to ``data:`` addresses, and to nothing else. ``kind`` and ``digest`` (hex)
    name the file: the same two are never rendered twice, so a new layout needs a new
    kind. Raises :class:`MissingLibrary`, or ValueError for an address that is refused.
    """
    kept = rendered_file(kind, digest)
    if kept is not None:
        return kept
    data = pdf_bytes(
        html, digest=digest, at=at, attachments=attachments, standard=standard
    )
    row = RenderedFile(kind=kind, digest=digest, made_at=at)
    row.file.save(f"{kind}-{digest[:16]}.pdf", ContentFile(data), save=False)
    return _keep(row)


def pdf_bytes(
    html: str,
    *,
    digest: str,
    at: datetime,
    attachments: Sequence[Attachment] = (),
    standard: Standard = Standard.UA,
) -> bytes:
    """A page as the bytes of a tagged PDF; nothing is kept."""
    engine = _engine()
    fetcher = _fetcher(engine)
    page = engine.HTML(string=html, base_url=BASE_URL, url_fetcher=fetcher)
    carried = [_attachment(engine, item, at) for item in attachments]
    try:
        made = page.write_pdf(
            pdf_variant=standard.value,
            pdf_tags=True,
            pdf_identifier=bytes.fromhex(digest)[:16],
            attachments=carried or None,
        )
    except engine.urls.FatalURLFetchingError as error:
        raise ValueError(str(error)) from error
    assert isinstance(made, bytes)
    return made


def page_count(html: str) -> int:
    """On how many pages a document comes out; nothing is made or kept."""
    engine = _engine()
    fetcher = _fetcher(engine)
    page = engine.HTML(string=html, base_url=BASE_URL, url_fetcher=fetcher)
    return len(page.render().pages)


def plain_pdf_bytes(html: str) -> bytes:
    """A page as WeasyPrint makes it when nothing is asked of it: no tags, no standard.

    ``html`` names its files by addresses that WeasyPrint reads without our help. It is
    what the price of ``pdf_bytes`` is measured against, and is handed to nobody.
    """
    made = _engine().HTML(string=html).write_pdf()
    assert isinstance(made, bytes)
    return made


def check_libraries() -> None:
    """Raise :class:`MissingLibrary` when PDF files cannot be made on this machine."""
    _engine()


@cache
def _engine() -> ModuleType:
    try:
        engine = import_module("weasyprint")
    except OSError as error:  # what cffi raises when it cannot open a library
        raise MissingLibrary(str(error)) from error
    # It warns of every property that only screens know.
    logging.getLogger("weasyprint").setLevel(logging.ERROR)
    logging.getLogger("weasyprint.progress").setLevel(logging.ERROR)
    return engine


def _attachment(engine: ModuleType, item: Attachment, at: datetime) -> Any:
    return engine.Attachment(
        string=item.data,
        name=item.name,
        description=item.description,
        relationship=item.relationship,
        created=at,
        modified=at,
    )


@cache
def _fetcher(engine: ModuleType) -> Any:
    """Reads our own static files and ``data:`` addresses; refuses everything else."""

    class StaticFiles(engine.urls.URLFetcher):  # type: ignore[name-defined]
        def fetch(self, url: str, headers: Any = None) -> Any:
            if url.startswith("data:"):
                return super().fetch(url, headers)
            data = _static_bytes(url)
            media_type = guess_type(url)[0] or "application/octet-stream"
            return engine.urls.URLFetcherResponse(
                url, data, {"Content-Type": media_type}
            )

    # A sheet without its fonts or rules is no statement: fail, do not go on without.
    return StaticFiles(allowed_protocols=["data"], fail_on_errors=True)


def _static_bytes(url: str) -> bytes:
    start = f"{BASE_URL.rstrip('/')}{settings.STATIC_URL}"
    if not url.startswith(start):
        raise ValueError(f"only our own static files may be read, not {url}")
    name = unquote(urlsplit(url).path.removeprefix(settings.STATIC_URL))
    found = finders.find(name)
    if isinstance(found, str):
        return Path(found).read_bytes()
    with staticfiles_storage.open(name) as file:  # collected, under its hashed name
        return bytes(file.read())


def _keep(row: RenderedFile) -> RenderedFile:
    """Save the row; when another worker was quicker, use theirs and drop our file."""
    try:
        with transaction.atomic():
            row.save(force_insert=True)
    except IntegrityError:
        kept = rendered_file(row.kind, row.digest)
        if kept is None:
            raise
        row.file.delete(save=False)
        return kept
    return row
