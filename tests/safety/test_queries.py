"""Pages ask the database as often for thirty jobs as for three."""

from uuid import uuid4

import pytest
from django.core.cache import cache
from django.db import connection
from django.test.utils import CaptureQueriesContext

from safety.queries import staleness
from safety.services.work import start_work
from tests.safety.conftest import issue
from tests.safety.test_statements import deeper

pytestmark = pytest.mark.usefixtures("morning")


def more_jobs(make_job, actor, lead, count, before, now):
    """Jobs with a stale statement each, on which somebody worked today."""
    for n in range(count):
        job = make_job(f"Job {n}")
        issue(job, actor, before)
        deeper(job, actor, now)
        start_work(
            job=job,
            people=[lead],
            actor=lead,
            at=now,
            device_at=None,
            client_uid=uuid4(),
        )


def asked(page, person, name):
    """How often a page asks the database when nothing was worked out before."""
    page(person, name)  # log in, and read the rules into this process
    cache.clear()
    staleness._KEPT.clear()
    with CaptureQueriesContext(connection) as found:
        assert page(person, name).status_code in {200, 302}
    return len(found)


PAGES = [
    ("oscar", "home"),
    ("olive", "home"),
    ("sal", "home"),
    ("sal", "safety:today"),
    ("olive", "safety:compliance"),
    ("olive", "safety:breaches"),
]


def test_thirty_jobs_ask_no_more_often_than_three(
    make_job, oscar, olive, sal, page, before, now
):
    people = {"oscar": oscar, "olive": olive, "sal": sal}
    more_jobs(make_job, oscar, sal, 3, before, now)
    few = {(who, name): asked(page, people[who], name) for who, name in PAGES}
    more_jobs(make_job, oscar, sal, 27, before, now)
    many = {(who, name): asked(page, people[who], name) for who, name in PAGES}
    assert many == few
