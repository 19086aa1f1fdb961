"""Jobs, clients and sites, made through the real services."""

import io
from itertools import product

import pytest
from django.core.cache import cache
from django.core.files.uploadedfile import SimpleUploadedFile
from PIL import Image

from jobs.domain.dimensions import Dimensions
from jobs.models import LibraryText
from jobs.services.clients import add_client, add_site
from jobs.services.jobs import open_job, set_dimensions
from jobs.services.library import load_shipped
from jobs.services.tries import _keys

DIMS = Dimensions(length_m=6.0, projection_m=3.6, pitch_deg=5.0, clear_height_m=2.4)


@pytest.fixture
def library(db):
    """The shipped libraries and approval kinds."""
    load_shipped()
    return LibraryText.objects


@pytest.fixture
def client_of_firm(oscar, now):
    """A client, entered by the office."""
    values = {"name": "Rowan Wattle", "phone": "(02) 5550 0101"}
    return add_client(values=values, actor=oscar, at=now)


@pytest.fixture
def site(client_of_firm, oscar, now):
    """A house with a tiled roof."""
    values = {"address": "8 Tamarind Close", "suburb": "Merrin Vale"}
    return add_site(client=client_of_firm, values=values, actor=oscar, at=now)


@pytest.fixture
def make_job(library, site, oscar, sal, now):
    """Open a job at that site, led by Sal unless told otherwise."""

    def make(title="Flat patio", method="attached_flat", at=now, **values):
        chosen = {"title": title, "site": site, "client": site.client, "site_lead": sal}
        return open_job(
            values={**chosen, **values}, method_key=method, actor=oscar, at=at
        )

    return make


@pytest.fixture
def job(make_job):
    """Sal's job: a flat patio, not measured yet."""
    return make_job()


@pytest.fixture
def measured(job, oscar, now):
    """The same job with its dimensions set."""
    set_dimensions(job=job, version=None, dimensions=DIMS, actor=oscar, at=now)
    return job


@pytest.fixture
def as_person(client):
    """Log somebody in, and get their browser."""

    def log_in(person):
        client.force_login(person)
        return client

    return log_in


@pytest.fixture
def picture():
    """A picture of one dot, as uploaded."""
    data = io.BytesIO()
    Image.new("RGB", (1, 1)).save(data, "PNG")
    return SimpleUploadedFile("card.png", data.getvalue(), "image/png")


@pytest.fixture
def paper():
    """A paper as PDF, as uploaded."""
    return SimpleUploadedFile("paper.pdf", b"%PDF-1.7\n%%EOF\n", "application/pdf")


@pytest.fixture
def text_file():
    """A text that says it is a picture."""
    return SimpleUploadedFile("card.png", b"<script>alert(1)</script>", "image/png")


EMAILS = ("oscar", "olive", "sal")
ADDRESSES = ("127.0.0.1", "192.0.2.7", "192.0.2.9")


def forget_all_tries():
    """Only our own counts: other tests may share the cache."""
    for what, name, address in product(("log-in", "new-password"), EMAILS, ADDRESSES):
        cache.delete_many(_keys(what, f"{name}@testfield.example", address))


@pytest.fixture
def no_tries_yet():
    """Nobody has tried to log in or asked for a password."""
    forget_all_tries()
    yield
    forget_all_tries()
