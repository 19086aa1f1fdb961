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
    def waits_for(self) -> str:
        """All it waits for as a sentence: "after 1, 2 and 4"."""
        plain = [str(item.number) for item in self.after if not item.wait]
        said = [f"after {joined(plain)}"] if plain else []
        for item in self.after:
            if item.wait:
                why = f" ({item.why})" if item.why else ""
                said.append(f"{item.wait} after {item.number}{why}")
        return joined(said) or "waits for nothing"

    @property
    def hours(self) -> str:
        """The work in hours of one person, with one decimal."""
        if self.person_minutes is None:
            return ""
        return f"{self.person_minutes / 60:.1f}"


def sequence_of(
    job: Job, take_off: TakeOff | None, *, called_for_only: bool = False
) -> list[TaskView]:
    """The job's tasks in order. Three queries.

    ``called_for_only`` leaves out what these dimensions do not call for; links then run
    past it, and numbers are those that the statement has.
    """
    specs = task_specs(job)
    if called_for_only and take_off is not None:
        specs = needed(specs, take_off)
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


def joined(parts: list[str]) -> str:
    """ "1, 2 and 4"."""
    if len(parts) < 2:
        return "".join(parts)
    return f"{', '.join(parts[:-1])} and {parts[-1]}"


def wait_in_words(lag_hours: float, lag_kind: LagKind) -> str:
    """ "24 hours by the clock" or "7 days"; nothing when there is no wait."""
    if not lag_hours:
        return ""
    if lag_kind is LagKind.CALENDAR and lag_hours >= 48 and lag_hours % 24 == 0:
        return f"{lag_hours / 24:g} days"
    how = "by the clock" if lag_kind is LagKind.CALENDAR else "of working time"
    return f"{lag_hours:g} hour{'' if lag_hours == 1 else 's'} {how}"
