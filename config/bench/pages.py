"""Each page in a firm of 500 jobs against the same page in a firm of 10.

The demo firm is replayed into a throwaway database, its open jobs are cut down to ten,
measured, copied, and measured again.
"""

from argparse import ArgumentParser
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from statistics import median
from time import perf_counter
from typing import Any

from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from django.utils import timezone

from config.bench.demo_firm import demo_firm, throwaway_database
from config.bench.many_jobs import multiply
from config.demo.people import Firmament
from jobs.models import Job
from jobs.services.jobs import close_job
from scheduling.services.feed_links import make_link, token_of

FEW = 10
PAGES = {
    "first page, office": ("office", "home"),
    "first page, owner": ("owner", "home"),
    "first page, site lead": ("lead", "home"),
    "list of jobs": ("office", "jobs:job_list"),
    "held jobs": ("office", "jobs:job_list"),
    "to chase": ("office", "jobs:approval_list"),
    "plan of two weeks": ("office", "scheduling:plan"),
    "deliveries": ("office", "scheduling:delivery_list"),
    "compliance": ("owner", "safety:compliance"),
    "breaches": ("owner", "safety:breaches"),
}
QUERIES: Mapping[str, Mapping[str, Any]] = {"held jobs": {"held": "held"}}

Write = Callable[[str], Any]
Look = Callable[[], Any]


@dataclass(frozen=True, slots=True)
class Cost:
    """What one look at a page costs."""

    seconds: float
    queries: int


def add_arguments(parser: ArgumentParser) -> None:
    """How many jobs, and how often each page is looked at."""
    parser.add_argument("--jobs", type=int, default=500, help="in the large firm")
    parser.add_argument("--looks", type=int, default=5, help="at each page")


def run(options: Mapping[str, Any], write: Write) -> None:
    """Measure and print a row a page."""
    with throwaway_database():
        write("Replaying the demo firm …")
        firm = demo_firm(timezone.now())
        jobs = _ten_open(firm)
        looks = _looks(firm, jobs[0])
        few = {what: _cost(look, options["looks"]) for what, look in looks.items()}
        write(f"Copying its jobs until there are {options['jobs']} …\n")
        multiply(jobs, max(options["jobs"] // FEW - 1, 1))
        many = {what: _cost(look, options["looks"]) for what, look in looks.items()}
        for line in table(few, many, Job.objects.open().count()):
            write(line)


def _ten_open(firm: Firmament) -> list[Job]:
    """Ten open jobs, those under way first; the others are called off."""
    jobs = list(Job.objects.open().order_by("number"))
    how, at = Job.Closed.CALLED_OFF, timezone.now()
    for job in jobs[FEW:]:
        close_job(job=job, how=how, note="", actor=firm.office, at=at)
    return jobs[:FEW]


def _looks(firm: Firmament, job: Job) -> dict[str, Look]:
    """By page, a way to look at it once."""
    people = {
        "office": firm.office,
        "owner": firm.owner,
        "lead": job.site_lead or firm.office,
    }
    found: dict[str, Look] = {}
    for what, (who, name) in PAGES.items():
        found[what] = _look(people[who], reverse(name, query=QUERIES.get(what)))
    pages = {"one job": "jobs:job_detail", "its hazard plan": "safety:plan_detail"}
    for what, name in pages.items():
        found[what] = _look(firm.office, reverse(name, args=[job.pk]))
    link = make_link(subject=None, actor=firm.office, at=timezone.now())
    url = reverse("scheduling:calendar_feed", args=[token_of(link)])
    return {**found, "calendar of the firm": _look(firm.office, url)}


def _look(person: Any, url: str) -> Look:
    client = Client(headers={"host": "localhost"})
    client.force_login(person)

    def look() -> None:
        status = client.get(url, follow=True).status_code
        if status != 200:
            raise RuntimeError(f"{url} answered {status}")

    return look


def _cost(look: Look, times: int) -> Cost:
    """The usual time and the queries of a page that was looked at before."""
    look()
    seconds = []
    for _ in range(times):
        began = perf_counter()
        look()
        seconds.append(perf_counter() - began)
    with CaptureQueriesContext(connection) as asked:
        look()
    return Cost(median(seconds), len(asked))


def table(
    few: Mapping[str, Cost], many: Mapping[str, Cost], jobs: int
) -> Iterator[str]:
    """The figures as lines: a head, a row a page, a foot."""
    yield f"{'':24} {'time':>8}   {'queries':>16}"
    yield f"{'':24} {f'{jobs}/{FEW}':>8}   {f'{FEW} jobs, {jobs}':>16}"
    for what, cost in few.items():
        ratio = many[what].seconds / cost.seconds
        queries = f"{cost.queries}, {many[what].queries}"
        yield f"{what:24} {ratio:7.1f}×   {queries:>16}"
    yield f"\nFor {jobs / FEW:g} times the jobs; each time is the middle one of its looks."
