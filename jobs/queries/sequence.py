"""The task sequence of a job as people read it."""

from dataclasses import dataclass

from jobs.domain.durations import person_minutes
from jobs.domain.methods import LagKind, TaskSpec
from jobs.domain.sequence import needed
from jobs.domain.takeoff import TakeOff
from jobs.library import ticket_kinds
from jobs.models import Job, Task
from jobs.queries.facts import task_specs


@dataclass(frozen=True, slots=True)
class After:
    """What a task waits for."""

    number: int
    name: str
    wait: str  # "24 hours by the clock"; empty when there is none
    why: str


@dataclass(frozen=True, slots=True)
class TaskView:
    """A task with its place, its work and what it waits for."""

    task: Task
    spec: TaskSpec
    number: int
    after: tuple[After, ...]
    person_minutes: float | None  # None before the dimensions are set
    called_for: bool  # whether these dimensions call for it
    tickets: tuple[str, ...]

    @property
    def state(self) -> str:
        """Where it stands: "done", "started" or nothing yet."""
        if self.task.done_at:
            return "done"
        return "started" if self.task.started_at else ""

    @property
    def hours(self) -> str:
        """The work in hours of one person: "3 ½ person-hours" is written 3.5."""
        if self.person_minutes is None:
            return ""
        return f"{self.person_minutes / 60:.1f}"


def sequence_of(job: Job, take_off: TakeOff | None) -> list[TaskView]:
    """The job's tasks in order. Three queries."""
    specs = task_specs(job)
    rows = {task.key: task for task in Task.objects.filter(job=job)}
    numbers = {spec.key: number for number, spec in enumerate(specs, start=1)}
    names = {spec.key: spec.name for spec in specs}
    wanted = {spec.key for spec in (needed(specs, take_off) if take_off else specs)}
    kinds = ticket_kinds()
    return [
        TaskView(
            task=rows[spec.key],
            spec=spec,
            number=numbers[spec.key],
            after=tuple(
                After(
                    numbers[link.after],
                    names[link.after],
                    wait_in_words(link.lag_hours, link.lag_kind),
                    link.why,
                )
                for link in spec.links
            ),
            person_minutes=person_minutes(spec, take_off) if take_off else None,
            called_for=spec.key in wanted,
            tickets=tuple(
                kinds[key].name if key in kinds else key for key in spec.tickets
            ),
        )
        for spec in specs
    ]


def wait_in_words(lag_hours: float, lag_kind: LagKind) -> str:
    """ "24 hours by the clock", or nothing when there is no wait."""
    if not lag_hours:
        return ""
    how = "by the clock" if lag_kind is LagKind.CALENDAR else "of working time"
    return f"{lag_hours:g} hour{'' if lag_hours == 1 else 's'} {how}"
