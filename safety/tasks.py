"""Background work of the safety app: ids in, one service call, safe to run twice."""

from contextlib import suppress
from datetime import date, datetime, timedelta

from celery import shared_task
from django.urls import reverse
from django.utils import timezone

from jobs.background import Stopped, reporting
from jobs.domain.refusals import Refused
from jobs.models import Firm, Job
from jobs.queries.firm import local_day, the_firm
from safety.holds import statement_holds
from safety.models import Statement
from safety.queries.staleness import AT_ONCE
from safety.services.judging import judge_again
from safety.services.papers import make_paper
from safety.services.rules import keep_rules
from safety.services.toolbox import make_talk

LOOK_BACK = timedelta(days=62)


@shared_task(name="safety.tasks.render_statement")
def render_statement(statement_id: int, run_id: str | None = None) -> None:
    """Make the PDF of a version; with a run, report to it."""
    rows = Statement.objects.select_related("job__site", "job__client", "facts")
    statement = rows.get(pk=statement_id)
    if run_id is None:
        make_paper(statement=statement, at=timezone.now())
        return
    with suppress(Stopped), reporting(run_id) as report:
        make_paper(statement=statement, at=timezone.now(), report=report)
        url = reverse("safety:statement_pdf", args=[statement.pk])
        report.finish(says="The PDF is ready.", url=url)


@shared_task(name="safety.tasks.render_talk")
def render_talk(job_id: int, day: str, run_id: str) -> None:
    """Make the page of a toolbox talk and report to its run."""
    rows = Job.objects.select_related("site", "client", "site_lead")
    job = rows.get(pk=job_id)
    with suppress(Stopped), reporting(run_id) as report:
        make_talk(
            job=job, day=date.fromisoformat(day), at=timezone.now(), report=report
        )
        url = reverse("safety:talk_pdf", args=[job.pk, day])
        report.finish(says="The page is ready.", url=url)


@shared_task(name="safety.tasks.judge_again")
def judge_work() -> None:
    """Keep the rules in force, and judge work that is new or was known too early."""
    if not Firm.objects.exists():
        return
    firm, at = the_firm(), timezone.now()
    with suppress(Refused):  # no hazard library yet
        keep_rules(firm=firm, actor=None, at=at)
    _work_plans_out(at)
    today = local_day(at, firm)
    judge_again(first=today - LOOK_BACK, last=today, firm=firm, at=at)


def _work_plans_out(at: datetime) -> None:
    """Find out which statements no longer fit, for the cache that processes may share."""
    jobs = list(Job.objects.open().order_by("pk"))
    for start in range(0, len(jobs), AT_ONCE):
        list(statement_holds(jobs[start : start + AT_ONCE], at))
