"""Facts and take-off of a job, from its rows."""

from jobs.domain.facts import JobFacts, facts_of
from jobs.domain.methods import LagKind, Link, TaskSpec
from jobs.domain.takeoff import TakeOff, take_off
from jobs.domain.task_records import spec_from_json
from jobs.library import sections
from jobs.models import Job, JobDimensions, Task, TaskLink


def task_specs(job: Job) -> tuple[TaskSpec, ...]:
    """The job's task sequence in order. Two queries."""
    tasks = list(Task.objects.filter(job=job).order_by("position", "pk"))
    keys = {task.pk: task.key for task in tasks}
    links: dict[int, list[Link]] = {task.pk: [] for task in tasks}
    for link in TaskLink.objects.filter(successor__job=job).order_by(
        "predecessor__position"
    ):
        links[link.successor_id].append(
            Link(
                keys[link.predecessor_id],
                link.lag_hours,
                LagKind(link.lag_kind),
                link.why,
            )
        )
    return tuple(
        spec_from_json(
            key=task.key,
            kind=task.kind,
            name=task.name,
            links=links[task.pk],
            spec=task.spec,
        )
        for task in tasks
    )


def dimensions_and_take_off(job: Job) -> tuple[JobDimensions | None, TakeOff | None]:
    """The dimensions, and what follows from them. None before they are set. One query."""
    dimensions = JobDimensions.objects.filter(job=job).first()
    if dimensions is None:
        return None, None
    plain, site = dimensions.plain(), job.site.facts()
    return dimensions, take_off(job.structure_kind, plain, site, sections())


def current_take_off(job: Job) -> TakeOff | None:
    """What follows from the dimensions now. None before they are set. One query."""
    return dimensions_and_take_off(job)[1]


def current_facts(job: Job) -> JobFacts | None:
    """The facts of the job now. None before its dimensions are set."""
    dimensions = JobDimensions.objects.filter(job=job).first()
    if dimensions is None:
        return None
    plain, site = dimensions.plain(), job.site.facts()
    return facts_of(
        structure=job.structure_kind,
        dims=plain,
        site=site,
        tasks=task_specs(job),
        takeoff=take_off(job.structure_kind, plain, site, sections()),
        sections=sections(),
    )
