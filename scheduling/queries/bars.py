"""A job's tasks as bars in time, with the critical path and the slack of each."""

from dataclasses import dataclass

from scheduling.domain.visits import task_path
from scheduling.queries.cuts import JobCut

LABEL = 300  # width of the names, in units of the drawing
BARS = 480  # width of the bars
ROW = 30
HEAD = 34


@dataclass(frozen=True, slots=True)
class Bar:
    """One task. Hours count from the start of the job; places are in the drawing."""

    name: str
    starts_h: float
    lasts_h: float
    slack_h: float
    x: int
    y: int
    width: int
    slack_width: int

    @property
    def is_critical(self) -> bool:
        """Whether a slip of this task is a slip of the job."""
        return self.slack_h <= 0

    @property
    def middle(self) -> int:
        """Half the height of its row."""
        return self.y + ROW // 2

    @property
    def end(self) -> int:
        """Where the bar ends."""
        return self.x + self.width

    @property
    def slack_end(self) -> int:
        """Where its slack ends."""
        return self.end + self.slack_width


@dataclass(frozen=True, slots=True)
class BarChart:
    """All tasks of a job, for a crew of one size."""

    people: int
    hours: float
    bars: tuple[Bar, ...]
    ticks: tuple[tuple[int, int], ...]  # place, hours

    @property
    def height(self) -> int:
        """Height of the drawing."""
        return HEAD + ROW * len(self.bars) + 8

    @property
    def width(self) -> int:
        """Width of the drawing."""
        return LABEL + BARS + 20


def bar_chart(cut: JobCut) -> BarChart | None:
    """Bars of a job's tasks for the smallest crew that can do all of them. No queries.

    Waits are taken in hours as they stand, whether nights pass in them or not.
    """
    if not cut.tasks:
        return None
    people = max(task.crew_min for task in cut.tasks)
    path = task_path(cut.tasks, people)
    names = {task.key: task.name for task in cut.tasks}
    scale = BARS / path.length if path.length else 0.0
    order = sorted(path.times.items(), key=lambda item: (item[1].early_start, item[0]))
    return BarChart(
        people=people,
        hours=round(path.length, 1),
        bars=tuple(
            Bar(
                name=names[key],
                starts_h=round(times.early_start, 1),
                lasts_h=round(times.early_finish - times.early_start, 1),
                slack_h=0.0 if times.critical else round(times.total_float, 1),
                x=LABEL + round(times.early_start * scale),
                y=HEAD + ROW * row,
                width=max(3, round((times.early_finish - times.early_start) * scale)),
                slack_width=round(times.total_float * scale),
            )
            for row, (key, times) in enumerate(order)
        ),
        ticks=tuple(_ticks(path.length, scale)),
    )


def _ticks(hours: float, scale: float) -> list[tuple[int, int]]:
    """About six marks at whole steps of hours."""
    step = next((s for s in (2, 4, 8, 16, 24, 48, 96) if hours / s <= 7), 168)
    marks = range(0, int(hours) + 1, step)
    return [(LABEL + round(mark * scale), mark) for mark in marks]
