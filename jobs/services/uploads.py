"""Take in a file that somebody hands over."""

import hashlib
from datetime import datetime
from typing import Any

from django.conf import settings
from django.core.files.uploadedfile import UploadedFile
from django.db import transaction
from PIL import Image, UnidentifiedImageError

from jobs import ledger
from jobs.domain.refusals import Refused
from jobs.domain.roles import Can
from jobs.domain.verbs import Verb
from jobs.models import Document, Job, Person
from jobs.permissions import require_any

# What a file must begin with to be what it says. Nothing that a browser would run.
_MAGIC = {
    b"%PDF-": "application/pdf",
    b"\xff\xd8\xff": "image/jpeg",
    b"\x89PNG\r\n\x1a\n": "image/png",
}
_WEBP = (b"RIFF", b"WEBP")
_EXTENSION = {
    "application/pdf": ".pdf",
    "image/jpeg": ".jpg",
    "image/png": ".png",
    "image/webp": ".webp",
}


@transaction.atomic
def take_in(
    *,
    upload: "UploadedFile[Any]",
    title: str,
    job: Job | None,
    actor: Person,
    at: datetime,
) -> Document:
    """Keep a file. PDF, JPEG, PNG and WebP only, checked by content.

    The stored name is the file's own digest: what a person called it never reaches the
    disk. Raises Refused when it is too large, empty, or something else.
    """
    media_type = _check(upload)
    digest = _sha256(upload)
    upload.name = f"{digest[:32]}{_EXTENSION[media_type]}"
    document = Document.objects.create(
        job=job,
        title=title,
        file=upload,
        media_type=media_type,
        size_bytes=upload.size or 0,
        sha256=digest,
        uploaded_by=actor,
        uploaded_at=at,
    )
    ledger.append(
        chain=job or ledger.FIRM_CHAIN,
        actor=actor,
        at=at,
        verb=Verb.DOCUMENT_ADDED,
        subject=document,
        payload={"title": title, "sha256": digest, "size_bytes": document.size_bytes},
    )
    return document


@transaction.atomic
def add_document(
    *, job: Job, upload: "UploadedFile[Any]", title: str, actor: Person, at: datetime
) -> Document:
    """Keep a document of a job: the office's and the site lead's part."""
    require_any(actor, Can.EDIT_JOBS, Can.RUN_SITE_DAY)
    return take_in(upload=upload, title=title, job=job, actor=actor, at=at)


def _check(upload: "UploadedFile[Any]") -> str:
    limit = settings.UPLOAD_LIMIT_MB
    if not upload.size:
        raise Refused("The file is empty. Choose it again.")
    if upload.size > limit * 1024 * 1024:
        raise Refused(f"The file is larger than {limit} MB. Make it smaller first.")
    media_type = _media_type(upload)
    if media_type.startswith("image/"):
        _check_picture(upload)
    return media_type


def _media_type(upload: "UploadedFile[Any]") -> str:
    upload.seek(0)
    head = upload.read(16)
    upload.seek(0)
    for magic, media_type in _MAGIC.items():
        if head.startswith(magic):
            return media_type
    if head[:4] == _WEBP[0] and head[8:12] == _WEBP[1]:
        return "image/webp"
    raise Refused("Only PDF files and pictures (JPEG, PNG, WebP) can be kept here.")


def _check_picture(upload: "UploadedFile[Any]") -> None:
    try:
        with Image.open(upload) as picture:
            picture.verify()
    except (UnidentifiedImageError, OSError, SyntaxError, ValueError) as error:
        raise Refused("The picture cannot be opened. Take or save it again.") from error
    finally:
        upload.seek(0)


def _sha256(upload: "UploadedFile[Any]") -> str:
    digest = hashlib.sha256()
    for chunk in upload.chunks():
        digest.update(chunk)
    upload.seek(0)
    return digest.hexdigest()
