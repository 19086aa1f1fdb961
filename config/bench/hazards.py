"""A hazard plan of 200 tasks against one of 5, and a statement's PDF against a plain one.

On the demo firm. Every size of job has the same mix of tasks, so that only their number
differs. The plain PDF is WeasyPrint's own of the same page with the same fonts: no tags,
no standard, nothing inside, nothing kept.
"""

import re
from argparse import ArgumentParser
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date
from pathlib import Path
from statistics import median
from tempfile import TemporaryDirectory
from time import perf_counter
from typing import Any

from django.conf import settings
from django.contrib.staticfiles import finders
from django.test.utils import override_settings
from django.utils import timezone

from config.bench.demo_firm import demo_firm, throwaway_database
from config.bench.firms import Write
from jobs.documents import plain_pdf_bytes
from jobs.domain.facts import JobFacts, TaskFacts, from_json
from jobs.queries.firm import the_firm
from safety.documents import statement_html
from safety.domain.engine import RuleBook, hazard_plan
from safety.library import rules_now
from safety.models import Statement
from safety.queries.papers import paper
from safety.services.papers import make_paper

USUAL, FEW, MANY = 25, 5, 200


@dataclass(frozen=True, slots=True)
class PlanCost:
    """Seconds a task of plans of few, the usual number of and many tasks."""

    few: float
    usual: float
    many: float

    @property
    def plans_a_second(self) -> float:
        """Of a job of the usual size."""
        return 1 / (self.usual * USUAL)


@dataclass(frozen=True, slots=True)
class PrintCost:
    """Seconds of one statement's PDF: from its records to the kept file, and plain."""

    ours: float
    plain: float


def add_arguments(parser: ArgumentParser) -> None:
    """How often each thing is done."""
    parser.add_argument("--plans", type=int, default=20, help="of each size")
    parser.add_argument("--prints", type=int, default=3, help="of each kind")


def run(options: Mapping[str, Any], write: Write) -> None:
    """Measure and print."""
    with throwaway_database():
        write("Replaying the demo firm …")
        demo_firm(timezone.now())
        statement = longest_statement()
        facts = from_json(statement.facts.facts)
        rules = rules_now(the_firm()).book(str(facts.site["state"]))
        plans = plan_cost(facts, rules, statement.law_on, options["plans"])
        write("Printing …\n")
        prints = print_cost(statement, options["prints"])
        for line in table(plans, prints):
            write(line)


def longest_statement() -> Statement:
    """The issued statement with the most tasks."""
    rows = Statement.objects.select_related("job__site", "job__client", "facts")
    issued = rows.filter(state=Statement.State.ISSUED)
    return max(issued, key=lambda row: (len(row.facts.facts["tasks"]), row.pk))


def plan_cost(facts: JobFacts, rules: RuleBook, on: date, times: int) -> PlanCost:
    """What a task costs in jobs of three sizes with the same mix of tasks.

    The usual job is as many small ones as it takes, and its tasks over and over are the
    large one. Sizes take turns, so that a slow moment of the machine hits them alike.
    """
    usual = _with_tasks(facts, repeated(facts.tasks, USUAL))
    small = [
        _with_tasks(facts, usual.tasks[start : start + FEW])
        for start in range(0, USUAL, FEW)
    ]
    large = _with_tasks(facts, repeated(usual.tasks, MANY))

    def plan(*jobs: JobFacts) -> Callable[[], Any]:
        return lambda: [hazard_plan(job, rules, on) for job in jobs]

    few, one, many = in_turn((plan(*small), plan(usual), plan(large)), times)
    return PlanCost(few / USUAL, one / USUAL, many / MANY)


def _with_tasks(facts: JobFacts, tasks: Sequence[TaskFacts]) -> JobFacts:
    return replace(facts, tasks=tuple(tasks))


def repeated(tasks: Sequence[TaskFacts], number: int) -> tuple[TaskFacts, ...]:
    """So many tasks, those given over and over, each under a key of its own."""
    chosen = [tasks[place % len(tasks)] for place in range(number)]
    return tuple(
        replace(task, key=f"{task.key}_{place}", position=place)
        for place, task in enumerate(chosen, start=1)
    )


def print_cost(statement: Statement, times: int) -> PrintCost:
    """One statement printed both ways, in turn."""
    html = with_files(statement_html(paper(statement)))
    with TemporaryDirectory() as folder, override_settings(MEDIA_ROOT=folder):
        ours, plain = in_turn(
            (lambda: _make(statement), lambda: plain_pdf_bytes(html)), times
        )
    return PrintCost(ours, plain)


def _make(statement: Statement) -> None:
    made = make_paper(statement=statement, at=timezone.now())
    made.file.delete(save=False)
    made.delete()  # or the next one would be handed out instead of made


def with_files(html: str) -> str:
    """The page with the addresses of our own static files as those of files."""

    def address(found: re.Match[str]) -> str:
        path = finders.find(found[1])
        assert isinstance(path, str), found[1]
        return Path(path).as_uri()

    return re.sub(rf"{re.escape(settings.STATIC_URL)}([\w./-]+)", address, html)


def in_turn(ways: Sequence[Callable[[], Any]], times: int) -> list[float]:
    """The usual seconds of each of several ways, taking turns, after one unmeasured."""
    seconds: list[list[float]] = [[] for _ in ways]
    for turn in range(times + 1):
        for way, taken in zip(ways, seconds, strict=True):
            began = perf_counter()
            way()
            if turn:
                taken.append(perf_counter() - began)
    return [median(taken) for taken in seconds]


def table(plans: PlanCost, prints: PrintCost) -> Iterator[str]:
    """The figures as lines."""
    yield f"hazard plans a second, {USUAL} tasks      {plans.plans_a_second:8.0f}"
    yield f"time a task, {MANY} tasks ÷ {FEW}          {plans.many / plans.few:8.2f}×"
    yield f"time a task, {MANY} tasks ÷ {USUAL}         {plans.many / plans.usual:8.2f}×"
    yield f"statement PDF, ours ÷ plain          {prints.ours / prints.plain:8.2f}×"
    yield ""
    yield "Near 1 from size to size means: twice the tasks, twice the time."
    yield f"The plain PDF took {prints.plain:.1f} s on this machine."
