"""The task sequences of many jobs as the schedule sees them, and their visits."""

from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from jobs.domain.facts import facts_of
from jobs.domain.methods import LagKind, Link, TaskSpec
from jobs.domain.sequence import needed
from jobs.domain.takeoff import take_off
from jobs.domain.task_records import spec_from_json
from jobs.library import sections
from jobs.models import Firm, Job, JobDimensions, TaskLink
from jobs.models import Task as TaskRow
from scheduling.domain.visits import (
    OUTSIDE_TRADES,
    Task,
    VisitCut,
    cut_into_visits,
)
from scheduling.domain.visits import TaskLink as Wait
from scheduling.queries.calendar import minutes_per_half


@dataclass(frozen=True, slots=True)
class JobCut:
    """A job's tasks with their times, and the visits they make."""

    tasks: tuple[Task, ...]
    visits: tuple[VisitCut, ...]

    def named(self) -> Mapping[str, Task]:
        """Tasks by their key."""
        return {task.key: task for task in self.tasks}


def job_cuts(jobs: Iterable[Job], firm: Firm) -> dict[int, JobCut]:
    """How each job would be cut into visits now, by job id.

    Jobs without dimensions are left out. Three queries for all the jobs; their sites
    must be loaded.
    """
    listed = list(jobs)
    half = minutes_per_half(firm)
    return {
        job_id: JobCut(tasks, cut_into_visits(tasks, minutes_per_half=half))
        for job_id, tasks in _timed_tasks(listed).items()
    }


def _timed_tasks(jobs: list[Job]) -> dict[int, tuple[Task, ...]]:
    dimensions = {row.job_id: row for row in JobDimensions.objects.filter(job__in=jobs)}
    specs = _specs(jobs)
    return {
        job.pk: _timed(job, dimensions[job.pk], specs[job.pk])
        for job in jobs
        if job.pk in dimensions and specs[job.pk]
    }


def _specs(jobs: list[Job]) -> Mapping[int, tuple[TaskSpec, ...]]:
    rows = TaskRow.objects.filter(job__in=jobs).order_by("job_id", "position", "pk")
    tasks = list(rows)
    keys = {task.pk: task.key for task in tasks}
    links: dict[int, list[Link]] = defaultdict(list)
    for link in TaskLink.objects.filter(successor__job__in=jobs).order_by("pk"):
        links[link.successor_id].append(
            Link(
                keys[link.predecessor_id],
                link.lag_hours,
                LagKind(link.lag_kind),
                link.why,
            )
        )
    specs: dict[int, tuple[TaskSpec, ...]] = defaultdict(tuple)
    for task in tasks:
        spec = spec_from_json(
            key=task.key,
            kind=task.kind,
            name=task.name,
            links=links[task.pk],
            spec=task.spec,
        )
        specs[task.job_id] += (spec,)
    return specs


def _timed(
    job: Job, dimensions: JobDimensions, specs: tuple[TaskSpec, ...]
) -> tuple[Task, ...]:
    plain, site = dimensions.plain(), job.site.facts()
    takeoff = take_off(job.structure_kind, plain, site, sections())
    facts = facts_of(
        structure=job.structure_kind,
        dims=plain,
        site=site,
        tasks=specs,
        takeoff=takeoff,
        sections=sections(),
    )
    minutes = {task.key: task.person_minutes for task in facts.tasks}
    return tuple(_task(spec, minutes[spec.key]) for spec in needed(specs, takeoff))


def _task(spec: TaskSpec, person_minutes: float) -> Task:
    return Task(
        key=spec.key,
        name=spec.name,
        person_minutes=person_minutes,
        crew_min=spec.crew_min,
        crew_max=spec.crew_max,
        links=tuple(
            Wait(link.after, link.lag_hours, link.lag_kind, link.why)
            for link in spec.links
        ),
        tickets=() if spec.kind in OUTSIDE_TRADES else spec.tickets,
        trade=OUTSIDE_TRADES.get(spec.kind, ""),
        stops_in_rain=spec.stops_in_rain,
    )
