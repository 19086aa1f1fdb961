"""The working days of a job, and what of each step is done on each of them.

Visits are cut as the schedule cuts them, so a cure or another trade parts days here as it
parts bookings there. Within a visit the steps follow each other, and each takes its
labour divided by the people at it. Days that are booked are taken as booked.
"""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from itertools import chain, repeat

from jobs.domain.durations import HALF_DAY_MINUTES
from jobs.domain.facts import TaskFacts
from scheduling.domain.visits import (
    OUTSIDE_TRADES,
    OWN_TRADE,
    Task,
    TaskLink,
    cut_into_visits,
)

SPECK_MINUTES = 0.5  # less of a step than this is not another day of it


@dataclass(frozen=True, slots=True)
class Hours:
    """A working day of the firm.

    ``work_minutes`` is what is left for steps after breaks and packing up; ``clock_hours``
    is from start to end, which long shifts are counted by.
    """

    work_minutes: float = 2 * HALF_DAY_MINUTES
    clock_hours: float = 8.5


USUAL_HOURS = Hours()


@dataclass(frozen=True, slots=True)
class Room:
    """Time that a number of people have for steps on one day."""

    minutes: float
    people: int
    on: date | None = None


@dataclass(frozen=True, slots=True)
class Part:
    """What of a step is done on one day.

    ``share`` is of the step's work, 0 to 1; ``minutes`` are on the clock; ``people`` are
    those at the step.
    """

    task: TaskFacts
    share: float
    minutes: float
    people: int


@dataclass(frozen=True, slots=True)
class WorkDay:
    """One working day of a job, numbered from 1; ``on`` is None before it is booked."""

    number: int
    minutes: float  # of work that one person has
    people: int
    parts: tuple[Part, ...]
    on: date | None = None

    def has(self, task_key: str) -> bool:
        """Whether a step is worked on that day."""
        return any(part.task.key == task_key for part in self.parts)


Steps = tuple[TaskFacts, ...]


@dataclass(frozen=True, slots=True)
class BookedVisit:
    """The steps of a visit by their keys, and the time that people are booked for it."""

    steps: frozenset[str]
    rooms: tuple[Room, ...]


def planned_days(
    tasks: Iterable[TaskFacts], hours: Hours = USUAL_HOURS
) -> tuple[WorkDay, ...]:
    """The days of a job that nobody has booked, with the smallest crew that can do it.

    Every visit begins a day. Same steps, same days.
    """
    return booked_days(tasks, (), hours)


def booked_days(
    tasks: Iterable[TaskFacts],
    booked: Iterable[BookedVisit],
    hours: Hours = USUAL_HOURS,
) -> tuple[WorkDay, ...]:
    """The days of a job, as booked where they are.

    Work that the rooms of a visit do not hold is done in the last of them; steps without
    a booking get as many days as they need. Two visits booked on one date are one day.
    """
    rest = sorted(tasks, key=lambda task: (task.position, task.key))
    filled: list[_Filled] = []
    for visit in (one for one in booked if one.rooms):
        steps = tuple(task for task in rest if task.key in visit.steps)
        rest = [task for task in rest if task.key not in visit.steps]
        filled += _fill(steps, iter(visit.rooms), last=len(visit.rooms))
    for steps in _visits(rest):
        people = max(1, *(step.crew_min for step in steps))
        rooms = repeat(Room(hours.work_minutes, people))
        filled += _fill(steps, rooms, last=0)
    return _numbered(_joined(filled, hours.work_minutes))


_Filled = tuple[Room, tuple[Part, ...]]


def _visits(tasks: Sequence[TaskFacts]) -> tuple[Steps, ...]:
    """Steps by visit, in the order of the sequence. Links to later steps are passed over."""
    if not tasks:
        return ()
    place = {task.key: number for number, task in enumerate(tasks)}
    seen = [_as_scheduled(task, place) for task in tasks]
    cuts = cut_into_visits(seen)
    groups = [tuple(sorted(cut.tasks, key=place.__getitem__)) for cut in cuts]
    return tuple(tuple(tasks[place[key]] for key in group) for group in groups)


def _as_scheduled(task: TaskFacts, place: Mapping[str, int]) -> Task:
    before = (key for key in task.after if key in place)
    return Task(
        key=task.key,
        name=task.name,
        person_minutes=task.person_minutes,
        crew_min=task.crew_min,
        crew_max=task.crew_max,
        links=tuple(
            TaskLink(key, task.wait_hours)
            for key in before
            if place[key] < place[task.key]
        ),
        trade=OUTSIDE_TRADES.get(task.kind, OWN_TRADE),
    )


def _fill(steps: Steps, rooms: Iterator[Room], *, last: int) -> tuple[_Filled, ...]:
    """Steps one after the other into rooms; the ``last`` room, from 1, takes the rest."""
    days: list[tuple[Room, list[Part]]] = []
    left = 0.0
    for step in steps:
        share = 1.0
        while share > 0:
            if left < SPECK_MINUTES and not (days and len(days) == last):
                room = next(rooms)
                days.append((room, []))
                left = room.minutes
            room, parts = days[-1]
            part = _part(step, share, left, room, all_of_it=len(days) == last)
            parts.append(part)
            share = 0.0 if part.share >= share else share - part.share
            left -= part.minutes
    return tuple((room, tuple(parts)) for room, parts in days)


def _part(
    step: TaskFacts, share: float, left: float, room: Room, *, all_of_it: bool
) -> Part:
    """As much of what is left of a step as the room holds."""
    people = max(1, min(room.people, step.crew_max))
    whole = step.person_minutes / people
    wanted = whole * share
    if all_of_it or wanted <= left + SPECK_MINUTES:
        return Part(step, share, wanted, people)
    return Part(step, left / whole, left, people)


def _joined(filled: Iterable[_Filled], most: float) -> tuple[_Filled, ...]:
    """Rooms of one date as one day; days in order of their dates, undated ones after.

    ``most`` are the minutes that one person works in a day, wherever.
    """
    dated: dict[date, list[_Filled]] = {}
    rest: list[_Filled] = []
    for one in filled:
        if one[0].on is None:
            rest.append(one)
        else:
            dated.setdefault(one[0].on, []).append(one)
    days = (_one_day(same, most) for _, same in sorted(dated.items()))
    return (*days, *rest)


def _one_day(same: Sequence[_Filled], most: float) -> _Filled:
    rooms = [room for room, _ in same]
    minutes = sum(room.minutes for room in rooms)
    room = Room(min(minutes, most), max(room.people for room in rooms), rooms[0].on)
    return room, tuple(chain.from_iterable(parts for _, parts in same))


def _numbered(filled: Iterable[_Filled]) -> tuple[WorkDay, ...]:
    return tuple(
        WorkDay(number, room.minutes, room.people, parts, room.on)
        for number, (room, parts) in enumerate(filled, 1)
    )
