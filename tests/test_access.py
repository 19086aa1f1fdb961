"""Every address of the site, as everybody: who may open it and who may send it.

A new address without a row in the table fails; so does a row without an address.
"""

from collections.abc import Iterator
from contextlib import contextmanager
from copy import deepcopy
from http.cookies import SimpleCookie

import pytest
import time_machine
from django.db import transaction
from django.test import Client
from django.urls import URLPattern, URLResolver, get_resolver

from jobs.models import LedgerEntry
from tests.access.jobs import PUBLIC
from tests.access.table import EVERY, ROWS, VARIANTS
from tests.access.words import COLUMNS, DOOR, LOG_IN
from tests.people import NOW
from tests.sent_form import own_form
from tests.world import make_world


def routes(patterns=None, spaces=(), before="") -> Iterator[tuple[str, URLPattern]]:
    """Every address by its name, or as it is written when it has none."""
    for pattern in get_resolver().url_patterns if patterns is None else patterns:
        if isinstance(pattern, URLResolver):
            inner = (*spaces, pattern.namespace) if pattern.namespace else spaces
            yield from routes(
                pattern.url_patterns, inner, before + str(pattern.pattern)
            )
        else:
            written = before + str(pattern.pattern)
            name = ":".join((*spaces, pattern.name)) if pattern.name else written
            yield name, pattern


@pytest.fixture(scope="module")
def world(django_db_setup, django_db_blocker):
    """One firm for all the tests here; each test takes back what it did."""
    with django_db_blocker.unblock(), transaction.atomic():
        yield make_world()
        transaction.set_rollback(True)


@pytest.fixture(autouse=True)
def monday_morning(time_machine):
    time_machine.move_to(NOW, tick=False)


@contextmanager
def taken_back():
    with transaction.atomic():
        yield
        transaction.set_rollback(True)


@pytest.fixture(scope="module")
def sessions(world):
    """Cookies of nobody and of everybody, in the order of the table's columns."""
    names = ("oscar", "olive", "sal", "lou", "cam", "kim", "gus")
    clients = [Client() for _ in names]
    with time_machine.travel(NOW, tick=False):
        for name, client in zip(names, clients, strict=True):
            client.force_login(getattr(world, name))
    return [SimpleCookie(), *(client.cookies for client in clients)]


@pytest.fixture
def each(sessions, client, db):
    """Everybody in turn, in the order of the table's columns."""

    def people():
        for cookies in sessions:
            client.cookies = deepcopy(cookies)
            yield client

    return people


def answer(response):
    """The status; where a redirect leads to a door, which door."""
    if response.status_code != 302:
        return response.status_code
    if response.url.startswith("/log-in/"):
        return LOG_IN
    return DOOR if response.url.startswith("/libraries/login/") else 302


def filled(page, url, typed):
    """What a browser would send from that page, with some fields typed over."""
    is_page = page["Content-Type"].startswith("text/html")
    form = own_form(page.text, url.partition("?")[0]) if is_page else None
    return {"csrfmiddlewaretoken": "x", **(form.values() if form else {}), **typed}


def test_every_address_has_a_row():
    assert {name for name, _ in routes()} == set(ROWS)
    assert {name for name, _ in VARIANTS.values()} <= set(ROWS)


def test_pages_for_everybody_are_listed_one_by_one():
    is_open = {
        name
        for name, pattern in routes()
        if not getattr(pattern.callback, "login_required", True)
        and not name.startswith(("admin:", "libraries/"))
    }
    assert is_open == set(PUBLIC)


@pytest.mark.parametrize("what", EVERY)
def test_who_may_open_it(what, world, each):
    name, row = EVERY[what]
    url, written = row.url(name, world), LedgerEntry.objects.count()
    found = {}
    for who, client in zip(COLUMNS, each(), strict=True):
        with taken_back():
            found[who] = answer(client.get(url))
    assert found == dict(zip(COLUMNS, row.get, strict=True))
    assert LedgerEntry.objects.count() == written


@pytest.mark.parametrize("what", EVERY)
def test_who_may_send_it(what, world, each):
    name, row = EVERY[what]
    url, data = row.url(name, world), _data(what, world, each)
    found, wrote = {}, set()
    for who, client in zip(COLUMNS, each(), strict=True):
        with taken_back():
            before = LedgerEntry.objects.count()
            found[who] = answer(client.post(url, _fresh(data)))
            if LedgerEntry.objects.count() > before:
                wrote.add(who)
    assert found == dict(zip(COLUMNS, row.post, strict=True))
    assert wrote <= {who for who in COLUMNS if found[who] in {200, 302}}


def _data(what, world, each):
    """The form as the first who may open it sees it, filled in."""
    name, row = EVERY[what]
    url, typed = row.url(name, world), row.data(world)
    for client, may in zip(each(), row.get, strict=True):
        if may == 200:
            return filled(client.get(url), url, typed)
    return {"csrfmiddlewaretoken": "x", **typed}


def _fresh(data):
    """A file is read once; the next person sends it from its beginning."""
    for value in data.values():
        if hasattr(value, "seek"):
            value.seek(0)
    return data
