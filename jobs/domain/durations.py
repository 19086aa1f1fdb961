"""How long tasks take: quantity × rate ÷ people. Rates are the firm's own, not law."""

import math
from collections.abc import Iterable

from jobs.domain.methods import TaskSpec
from jobs.domain.takeoff.model import TakeOff

# Working minutes of half a day: an eight-hour day less breaks, unloading and packing up
# (common practice, no source).
HALF_DAY_MINUTES = 225.0


def person_minutes(task: TaskSpec, takeoff: TakeOff) -> float:
    """Minutes of work of one person: setup + rate × quantity."""
    return task.setup_minutes + task.minutes_per_unit * takeoff.value(task.per)


def elapsed_minutes(task: TaskSpec, takeoff: TakeOff, people: int) -> float:
    """Minutes on the clock: person-minutes ÷ people at work.

    No more people than the task has room for count; fewer than ``crew_min`` may not do
    it at all, which is ValueError.
    """
    if people < task.crew_min:
        raise ValueError(
            f"{task.name}: {people} people, at least {task.crew_min} needed"
        )
    return person_minutes(task, takeoff) / min(people, task.crew_max)


def elapsed_half_days(
    tasks: Iterable[TaskSpec],
    takeoff: TakeOff,
    people: int,
    half_day_minutes: float = HALF_DAY_MINUTES,
) -> int:
    """Half-days that one crew books for a run of tasks done one after the other.

    Rounded up once for the whole run, at least 1: half-days are what is booked.
    """
    minutes = sum(elapsed_minutes(task, takeoff, people) for task in tasks)
    return max(1, math.ceil(minutes / half_day_minutes - 1e-9))
