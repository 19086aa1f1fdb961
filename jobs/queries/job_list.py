"""The job list: where each job stands, and what holds it."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from enum import StrEnum

from django.db.models import Count, Exists, Max, OuterRef, Q
from django.db.models.functions import Coalesce

from jobs.domain.holds import Hold
from jobs.hold_registry import holds
from jobs.models import Job, JobDimensions, JobQuerySet, Person, Task
from jobs.permissions import visible_jobs
from jobs.queries.approvals import approvals_on
from jobs.queries.firm import local_day


class Stage(StrEnum):
    """How far a job has come. Holds are something else: any stage may be held."""

    MEASURE = "To be measured"
    APPROVALS = "Waiting for approvals"
    READY = "Approved, not started"
    ON_SITE = "On site"
    BUILT = "Built, to be handed over"
    HANDED_OVER = "Handed over"
    CALLED_OFF = "Called off"


@dataclass(frozen=True, slots=True)
class Asked:
    """What a list of jobs was asked to show. Empty texts ask for nothing."""

    q: str = ""
    show: str = "open"  # "open", "closed" or "all"
    held: str = ""  # "held" or "free"
    stage: str = ""  # name of a Stage
    lead: str = ""  # id of a person

    @property
    def needs_holds(self) -> bool:
        """Whether the answer cannot be told without the holds of every job."""
        return self.held in {"held", "free"}

    @property
    def needs_stages(self) -> bool:
        """Whether the answer cannot be told without the stage of every job."""
        return self.stage in Stage.__members__


@dataclass(frozen=True, slots=True)
class JobRow:
    """One line of the job list."""

    job: Job
    stage: Stage
    holds: tuple[Hold, ...]

    @property
    def first_hold(self) -> Hold | None:
        """The hold to look at first."""
        return self.holds[0] if self.holds else None


def jobs_found(person: Person, asked: Asked, at: datetime) -> Sequence[Job]:
    """Jobs a person may see that fit, the most urgent open one first.

    A queryset unless stage or holds decide; then a list, made in a fixed number of
    queries however many jobs there are.
    """
    jobs = _narrowed(visible_jobs(person), asked)
    if not asked.needs_holds and not asked.needs_stages:
        return jobs  # type: ignore[return-value]
    found: Iterable[Job] = jobs
    if asked.needs_stages:
        listed = list(found)
        stages = stages_at(listed, at)
        found = [job for job in listed if stages[job.pk].name == asked.stage]
    if asked.needs_holds:
        listed = list(found)
        held = holds(listed, at)
        found = [job for job in listed if bool(held[job.pk]) == (asked.held == "held")]
    return list(found)


def _narrowed(jobs: JobQuerySet, asked: Asked) -> JobQuerySet:
    if asked.show in {"open", "closed"}:
        jobs = jobs.filter(closed_at__isnull=asked.show == "open")
    if asked.lead.isdecimal():
        jobs = jobs.filter(site_lead_id=int(asked.lead))
    for word in asked.q.split()[:6]:
        jobs = jobs.filter(_mentions(word))
    due = Coalesce("promised_on", "wanted_on")
    if asked.show != "open":
        return jobs.order_by("-number")
    return jobs.order_by(due.asc(nulls_last=True), "number")


def _mentions(word: str) -> Q:
    fits = (
        Q(title__icontains=word)
        | Q(client__name__icontains=word)
        | Q(site__suburb__icontains=word)
        | Q(site__address__icontains=word)
    )
    return fits | Q(number=int(word)) if word.isdecimal() and len(word) < 9 else fits


def job_rows(jobs: Iterable[Job], at: datetime) -> list[JobRow]:
    """Jobs with stage and holds, in a fixed number of queries."""
    listed = list(jobs)
    held, stages = holds(listed, at), stages_at(listed, at)
    return [JobRow(job, stages[job.pk], tuple(held[job.pk])) for job in listed]


def stages_at(jobs: Sequence[Job], at: datetime) -> Mapping[int, Stage]:
    """The stage of each job by its id. Four queries."""
    measured, tasks = _measured(jobs), _by_tasks(jobs)
    waiting = {
        view.approval.job_id
        for view in approvals_on(local_day(at), jobs)
        if not view.standing.lets_work_start
    }
    return {
        job.pk: _closed(job)
        or tasks.get(job.pk)
        or _before_work(measured=job.pk in measured, waiting=job.pk in waiting)
        for job in jobs
    }


def _closed(job: Job) -> Stage | None:
    if job.is_open:
        return None
    handed_over = job.closed_how == Job.Closed.HANDED_OVER
    return Stage.HANDED_OVER if handed_over else Stage.CALLED_OFF


def _before_work(*, measured: bool, waiting: bool) -> Stage:
    if not measured:
        return Stage.MEASURE
    return Stage.APPROVALS if waiting else Stage.READY


def _measured(jobs: Sequence[Job]) -> set[int]:
    rows = JobDimensions.objects.filter(job__in=jobs)
    return set(rows.values_list("job_id", flat=True))


def _by_tasks(jobs: Sequence[Job]) -> dict[int, Stage]:
    """Jobs whose tasks have begun. One is built once its last task is done.

    Not when all are: tasks that the dimensions do not call for are never done.
    """
    counted = (
        Task.objects.filter(job__in=jobs)
        .order_by()
        .values("job_id")
        .annotate(
            last=Max("position"),
            last_done=Max("position", filter=Q(done_at__isnull=False)),
            begun=Count("pk", filter=Q(started_at__isnull=False)),
        )
    )
    return {
        row["job_id"]: Stage.BUILT if row["last"] == row["last_done"] else Stage.ON_SITE
        for row in counted
        if row["begun"] or row["last_done"]
    }


def leads_of(jobs: JobQuerySet) -> list[Person]:
    """People who lead any of these jobs, by name. One query."""
    leads = Person.objects.filter(
        Exists(jobs.order_by().filter(site_lead=OuterRef("pk")))
    )
    return list(leads)
