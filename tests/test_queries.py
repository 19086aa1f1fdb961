"""Pages ask the database as often in a firm of 500 jobs as in one of 10."""

from typing import Any

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from config.bench.many_jobs import multiply
from jobs.models import Job
from scheduling.models import FeedLink
from scheduling.services.feed_links import token_of
from tests.people import NOW
from tests.world import make_world

FEW, MANY = 10, 500
PAGES: dict[str, tuple[str, str, dict[str, Any]]] = {
    "jobs, the office": ("oscar", "jobs:job_list", {}),
    "jobs, the owner": ("olive", "jobs:job_list", {}),
    "jobs, a site lead": ("sal", "jobs:job_list", {}),
    "jobs, a crew member": ("cam", "jobs:job_list", {}),
    "jobs that are held": ("oscar", "jobs:job_list", {"held": "held"}),
    "jobs by stage": ("oscar", "jobs:job_list", {"stage": "READY"}),
    "first page, the office": ("oscar", "home", {}),
    "first page, the owner": ("olive", "home", {}),
    "first page, a site lead": ("sal", "home", {}),
    "first page, a crew member": ("cam", "home", {}),
    "today": ("sal", "safety:today", {}),
    "the plan": ("oscar", "scheduling:plan", {"weeks": 2}),
    "what no longer fits": ("oscar", "scheduling:plan_unfit", {}),
    "shared plant": ("oscar", "scheduling:plant_list", {}),
    "to chase": ("oscar", "jobs:approval_list", {}),
    "deliveries": ("oscar", "scheduling:delivery_list", {"show": "all"}),
    "crews": ("oscar", "scheduling:crew_list", {}),
    "people": ("oscar", "jobs:person_list", {}),
    "clients": ("oscar", "jobs:client_list", {}),
    "days off": ("oscar", "scheduling:absence_list", {}),
    "calendar links": ("oscar", "scheduling:link_list", {}),
    "compliance": ("olive", "safety:compliance", {}),
    "breaches": ("olive", "safety:breaches", {}),
    "the firm's ledger": ("olive", "jobs:firm_ledger", {}),
}


def asked(client, url):
    """How often a look at a page asks the database."""
    with CaptureQueriesContext(connection) as found:
        assert client.get(url, follow=True).status_code == 200
    return len(found)


def asked_by_all(client, world):
    """The same for every page and for a calendar of each kind."""
    counts = {}
    for what, (who, name, query) in PAGES.items():
        client.force_login(getattr(world, who))
        counts[what] = asked(client, reverse(name, query=query))
    client.logout()
    for link in FeedLink.objects.filter(revoked_at__isnull=True):
        url = reverse("scheduling:calendar_feed", args=[token_of(link)])
        counts[f"calendar of a {link.kind}"] = asked(client, url)
    return counts


@pytest.mark.django_db
def test_five_hundred_jobs_ask_no_more_often_than_ten(client, time_machine):
    time_machine.move_to(NOW, tick=False)
    world = make_world()
    jobs = list(Job.objects.open())
    multiply(jobs, FEW // len(jobs) - 1)
    asked_by_all(client, world)  # what is read once a process is read now
    few = asked_by_all(client, world)
    multiply(jobs, (MANY - FEW) // len(jobs))
    assert Job.objects.open().count() == MANY
    many = asked_by_all(client, world)
    # Fewer is possible: names of held tasks are only asked for where one is shown.
    assert {what: (few[what], n) for what, n in many.items() if n > few[what]} == {}
