"""PDF files: tagged, archival on request, rendered once, and never from the network."""

import io
import json

import pikepdf
import pytest

from jobs import documents
from jobs.documents import Attachment, Standard, render_pdf
from jobs.models import RenderedFile

DIGEST = "ab" * 32
PAGE = """<!doctype html><html lang="en-AU"><head><title>Statement</title>
<link rel="stylesheet" href="/static/eavesline/eavesline.css"></head>
<body><h1>Fall from the edge</h1><p>Put the rail up first.</p>{more}</body></html>"""


def made(html=PAGE, **options):
    row = render_pdf(html, kind="statement", digest=DIGEST, **options)
    with row.file.open("rb") as file:
        return row, pikepdf.open(io.BytesIO(file.read()))


def test_a_page_becomes_a_tagged_accessible_pdf(db, now):
    row, pdf = made(at=now)
    assert row.file.name.startswith("rendered/")
    assert pdf.Root.MarkInfo.Marked
    assert str(pdf.Root.Lang) == "en-AU"
    assert pdf.open_metadata()["pdfuaid:part"] == "1"


def test_an_archival_pdf_carries_its_content(db, now):
    content = Attachment("plan.json", b'{"version": 3}', "The plan as data")
    _, pdf = made(at=now, standard=Standard.A_3A, attachments=[content])
    metadata = pdf.open_metadata()
    assert metadata["pdfaid:part"] == "3"
    assert metadata["pdfaid:conformance"] == "A"
    carried = pdf.attachments["plan.json"].get_file().read_bytes()
    assert json.loads(carried) == {"version": 3}


def test_the_same_digest_is_rendered_once(db, now):
    first, _ = made(at=now)
    again = render_pdf("<p>other", kind="statement", digest=DIGEST, at=now)
    assert again == first
    assert RenderedFile.objects.count() == 1


def test_a_second_worker_uses_the_file_of_the_first(db, now):
    first, _ = made(at=now)
    late = RenderedFile(kind="statement", digest=DIGEST, made_at=now)
    assert documents._keep(late) == first


@pytest.mark.parametrize(
    "source",
    [
        "http://127.0.0.1:9/x.png",
        "file:///etc/hostname",
        "/static/../../manage.py",
        "/elsewhere/x.png",
        "//other.invalid/static/x.png",
    ],
)
def test_nothing_but_our_own_files_is_read(db, now, source):
    page = PAGE.replace("{more}", f'<img alt="x" src="{source}">')
    with pytest.raises(ValueError, match="Error fetching"):
        render_pdf(page, kind="statement", digest=DIGEST, at=now)


def test_a_picture_in_the_page_itself_is_fine(db, now):
    dot = "iVBORw0KGgoAAAANSUhEUgAAAAEAAAABCAAAAAA6fptVAAAACklEQVR4nGNgAAAAAgABSK+kcQAAAABJRU5ErkJggg=="
    page = PAGE.replace("{more}", f'<img alt="x" src="data:image/png;base64,{dot}">')
    assert render_pdf(page, kind="statement", digest=DIGEST, at=now).pk


def test_a_missing_library_is_named(monkeypatch):
    def no_pango(name):
        raise OSError("cannot load library 'libpango-1.0-0'")

    documents._engine.cache_clear()
    monkeypatch.setattr(documents, "import_module", no_pango)
    with pytest.raises(documents.MissingLibrary, match=documents.LIBRARIES.split()[0]):
        documents.check_libraries()
    documents._engine.cache_clear()
