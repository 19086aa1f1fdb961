"""Files that people hand in: what is kept, who gets it back, and how it is sent."""

import io

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.urls import reverse
from PIL import Image

from jobs.models import Document, LedgerEntry


def add(browser, job, upload, title="Council letter"):
    url = reverse("jobs:document_add", args=[job.pk])
    return browser.post(url, {"title": title, "file": upload})


def fetch(browser, document):
    return browser.get(reverse("jobs:document_file", args=[document.pk]))


@pytest.fixture
def kept(as_person, oscar, job, paper):
    """A paper of Sal's job."""
    add(as_person(oscar), job, paper)
    return Document.objects.get()


def test_a_paper_is_kept_under_its_own_digest(kept):
    assert kept.media_type == "application/pdf"
    assert "paper" not in kept.file.name
    assert kept.sha256[:32] in kept.file.name
    assert LedgerEntry.objects.filter(verb="job:document:added").exists()


def test_it_comes_back_as_it_was(as_person, oscar, kept):
    response = fetch(as_person(oscar), kept)
    assert b"".join(response.streaming_content) == b"%PDF-1.7\n%%EOF\n"
    assert response.headers["Content-Disposition"] == (
        'inline; filename="council-letter.pdf"'
    )


def test_no_browser_runs_what_it_gets(as_person, oscar, kept, job, picture):
    browser = as_person(oscar)
    headers = fetch(browser, kept).headers
    assert headers["X-Content-Type-Options"] == "nosniff"
    assert headers["Content-Security-Policy"].startswith("default-src 'none'")
    assert headers["Cache-Control"].startswith("private")
    add(browser, job, picture, "Photo")
    shown = fetch(browser, Document.objects.get(title="Photo"))
    assert "sandbox" in shown.headers["Content-Security-Policy"]
    assert shown.headers["Content-Type"] == "image/png"


def test_a_title_cannot_break_out_of_the_header(as_person, oscar, job, paper):
    add(as_person(oscar), job, paper, title='x"; filename="evil.html')
    response = fetch(as_person(oscar), Document.objects.get())
    assert response.headers["Content-Disposition"].count('"') == 2


@pytest.mark.parametrize("name", ["photo.jpg", "photo.webp"])
def test_pictures_of_other_kinds(as_person, oscar, job, name):
    data = io.BytesIO()
    Image.new("RGB", (2, 2)).save(data, "JPEG" if name.endswith("jpg") else "WEBP")
    add(as_person(oscar), job, SimpleUploadedFile(name, data.getvalue()))
    assert Document.objects.get().media_type.startswith("image/")


@pytest.mark.parametrize(
    ("data", "says"),
    [
        (b"", "empty"),
        (b"<html><script>alert(1)</script>", "Only PDF files and pictures"),
        (b"MZ\x90\x00 a program", "Only PDF files and pictures"),
        (b"\x89PNG\r\n\x1a\n then nothing", "cannot be opened"),
        (b"<svg xmlns='http://www.w3.org/2000/svg'/>", "Only PDF files and pictures"),
    ],
)
def test_what_is_something_else_is_refused(as_person, oscar, job, data, says):
    response = add(as_person(oscar), job, SimpleUploadedFile("x.pdf", data))
    assert response.status_code == 422
    assert says in response.text
    assert "Council letter" in response.text
    assert not Document.objects.exists()


def test_what_is_too_large_is_refused(as_person, oscar, job, settings):
    settings.UPLOAD_LIMIT_MB = 0
    response = add(as_person(oscar), job, SimpleUploadedFile("x.pdf", b"%PDF-1.7"))
    assert "larger than 0 MB" in response.text


def test_the_lead_adds_to_their_own_job(as_person, sal, lou, cam, job, paper):
    assert add(as_person(lou), job, paper).status_code == 404
    assert add(as_person(cam), job, paper).status_code == 404
    paper.seek(0)
    assert add(as_person(sal), job, paper).status_code == 302


def test_the_owner_reads_only(as_person, olive, kept, job, paper):
    assert add(as_person(olive), job, paper).status_code == 403
    assert fetch(as_person(olive), kept).status_code == 200


def test_a_stranger_gets_nothing(as_person, client, lou, cam, kept):
    for person in (lou, cam):
        assert fetch(as_person(person), kept).status_code == 404
    client.logout()
    assert fetch(client, kept).status_code == 302
