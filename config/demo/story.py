"""Replay the stories of the demo jobs, moment by moment, through the services.

Steps of all jobs share one queue ordered in time, so the ledger and the plan grow as they
would have. Nothing later than now is replayed.
"""

import heapq
import logging
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from datetime import datetime
from itertools import count
from typing import Any

from config.demo.building import Builder
from config.demo.days import WorkingDays
from config.demo.paperwork import Paperwork
from config.demo.people import Firmament
from config.demo.scenario import Scenario, Step
from config.demo.tools import tool_happenings

log = logging.getLogger(__name__)

# When in the day each kind of step happens, unless the story says otherwise.
_CLOCK = {
    "open": "09:00",
    "dimensions": "09:30",
    "redimension": "10:00",
    "step": "11:00",
    "not_needed": "11:20",
    "materials": "13:00",
    "order": "13:30",
    "issue": "14:00",
    "receive": "06:30",
    "sign": "06:45",
    "book": "15:30",
    "build": "15:00",
    "check": "07:10",
    "talk": "14:30",
    "stop": "16:10",
    "release": "16:50",
}
DECIDED_BEFORE = {"build": 1}  # working days before the first day on site

Happening = Callable[[datetime], None]


@dataclass(slots=True)
class Queue:
    """Happenings in order of time."""

    until: datetime
    _heap: list[tuple[datetime, int, Happening]] = field(default_factory=list)
    _tie: "count[int]" = field(default_factory=count)

    def put(self, at: datetime, happening: Happening) -> None:
        """Add one, unless it lies in the future."""
        if at <= self.until:
            heapq.heappush(self._heap, (at, next(self._tie), happening))

    def run(self, tick: Callable[[datetime], None]) -> None:
        """Let everything happen; happenings may add others."""
        while self._heap:
            at, _, happening = heapq.heappop(self._heap)
            happening(at)
            tick(at)


def replay(
    scenario: Scenario,
    firm: Firmament,
    days: WorkingDays,
    tick: Callable[[datetime], None],
) -> None:
    """Tell every story up to now."""
    queue = Queue(days.now)
    paperwork = Paperwork(firm, days, scenario.jobs)
    builder = Builder(
        firm=firm,
        days=days,
        told=scenario.jobs,
        jobs=paperwork.jobs,
        later=queue.put,
        issue=paperwork.issue,
    )
    for step in scenario.steps:
        queue.put(_when(step, days), _happening(step, paperwork, builder))
    for at, happening in tool_happenings(scenario.firm, firm, days):
        queue.put(at, happening)
    queue.run(tick)


def _when(step: Step, days: WorkingDays) -> datetime:
    day = step.details.get("decided", step.day - DECIDED_BEFORE.get(step.do, 0))
    return days.at(day, step.details.get("at", _CLOCK[step.do]))


def _happening(step: Step, paperwork: Paperwork, builder: Builder) -> Happening:
    teller = paperwork if hasattr(paperwork, step.do) else builder
    do: Callable[[Step, datetime], None] = getattr(teller, step.do)
    return lambda at: do(step, at)


def chosen(job: Mapping[str, Any], *names: str) -> dict[str, Any]:
    """Some of a job's lines, those that it has."""
    return {name: job[name] for name in names if name in job}
