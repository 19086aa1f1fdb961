"""What would a plan say if the job were done otherwise? Two plans side by side."""

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, field, replace
from enum import StrEnum

from jobs.domain.methods import Lifting, TaskSpec, ToolSpec
from safety.domain.explain import explain
from safety.domain.plan import WHOLE_JOB, HazardPlan, PlanLine
from safety.domain.risk import Matrix, Rating
from safety.domain.traces import Trace, deciding
from safety.domain.what_if_figures import Figure

GROUND = "ground"
# Kinds of step that join pieces of the frame; only these can be done before it goes up.
_JOINS_FRAME = frozenset({"fix_rafters", "fix_purlins", "deck_frame"})
_STOOD_ON = frozenset({"ladder", "trestles"})
_WAYS_UP = _STOOD_ON | {"mobile_scaffold"}
_SCAFFOLD = ("mobile_scaffold", "edge_protection")


@dataclass(frozen=True, slots=True)
class Options:
    """Another way of doing the same job.

    ``on_ground`` are steps done on the ground instead of up high; ``lifting`` is how
    pieces go up, None for as planned; ``scaffold`` is whether one is hired, with guard
    rail and a stair of its own, so that nobody works from ladders or trestles; ``tools``
    are tools by what is used in their place.
    """

    on_ground: frozenset[str] = frozenset()
    lifting: Lifting | None = None
    scaffold: bool = False
    tools: Mapping[str, str] = field(default_factory=dict)


def could_be_on_ground(task: TaskSpec) -> bool:
    """Whether a step joins pieces of the frame up high.

    Roofing, flashing, sweeping and lifting happen where the structure stands. Common
    practice, no source.
    """
    return task.at_height != GROUND and task.kind in _JOINS_FRAME


def with_options(tasks: Iterable[TaskSpec], options: Options) -> tuple[TaskSpec, ...]:
    """The task sequence done that way. Nothing else of it changes."""
    return tuple(_otherwise(task, options) for task in tasks)


def _otherwise(task: TaskSpec, options: Options) -> TaskSpec:
    up_high = task.at_height != GROUND
    if options.lifting is not None and up_high:
        lifts = tuple(replace(lift, how=options.lifting) for lift in task.lifts)
        task = replace(task, lifts=lifts)
    if up_high and task.key in options.on_ground:
        tools = tuple(use for use in task.tools if use.tool not in _WAYS_UP)
        task = replace(task, at_height=GROUND, tools=tools)
    elif up_high and options.scaffold:
        task = replace(task, tools=_from_scaffold(task))
    swapped = (
        replace(use, tool=options.tools.get(use.tool, use.tool)) for use in task.tools
    )
    return replace(task, tools=tuple(swapped))


def _from_scaffold(task: TaskSpec) -> tuple[ToolSpec, ...]:
    kept = tuple(use for use in task.tools if use.tool not in _STOOD_ON)
    there = {use.tool for use in kept}
    hired = (ToolSpec(tool, "job", 0.0) for tool in _SCAFFOLD if tool not in there)
    return (*kept, *hired)


class Fate(StrEnum):
    """What became of a line."""

    GONE = "gone"
    NEW = "new"
    BETTER = "better"
    WORSE = "worse"
    OTHER = "other controls"


@dataclass(frozen=True, slots=True)
class LineChange:
    """A hazard that differs alike in some steps, with its ratings and what decided it.

    Ratings are before and after controls; empty where there is no line.
    """

    fate: Fate
    steps: tuple[str, ...]
    name: str
    was: tuple[str, str]
    now: tuple[str, str]
    because: tuple[str, ...]
    controls_gone: tuple[str, ...] = ()
    controls_new: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Outcome:
    """What doing it otherwise would change in a plan."""

    changes: tuple[LineChange, ...]
    same: int  # lines with the same ratings and controls
    worst_was: str
    worst_now: str
    above_was: int  # lines above what the firm works at
    above_now: int
    categories_gone: tuple[str, ...]
    categories_new: tuple[str, ...]
    figures: tuple[Figure, ...] = ()  # that lines of both plans show otherwise

    def of(self, *fates: Fate) -> tuple[LineChange, ...]:
        """Changes of these kinds, in the order of the work."""
        return tuple(change for change in self.changes if change.fate in fates)


Judge = Callable[[PlanLine], Trace | None]


def outcome(
    before: HazardPlan, after: HazardPlan, matrix: Matrix, judge: Judge
) -> Outcome:
    """The plans of one job done in two ways.

    ``judge`` gives the trace of a line's hazard under the facts of ``after``, None when
    its step is not there any more.
    """
    old = {line.key: line for line in before.lines}
    new = {line.key: line for line in after.lines}
    changes = [
        _gone(line, matrix, judge) for key, line in old.items() if key not in new
    ]
    changes += [_new(line, matrix) for key, line in new.items() if key not in old]
    kept = [(old[key], line) for key, line in new.items() if key in old]
    changed = [pair for pair in kept if _differs(*pair)]
    changes += [_changed(*pair, matrix) for pair in changed]
    was = {category.key: category.says for category in before.categories}
    now = {category.key: category.says for category in after.categories}
    return Outcome(
        changes=_folded(changes),
        same=len(kept) - len(changed),
        worst_was=_worst(before, matrix),
        worst_now=_worst(after, matrix),
        above_was=_above(before, matrix),
        above_now=_above(after, matrix),
        categories_gone=tuple(says for key, says in was.items() if key not in now),
        categories_new=tuple(says for key, says in now.items() if key not in was),
    )


def _folded(changes: Iterable[LineChange]) -> tuple[LineChange, ...]:
    """Changes that say the same of several steps as one, where the first stood."""
    found: dict[LineChange, tuple[str, ...]] = {}
    for change in changes:
        alike = replace(change, steps=())
        found[alike] = (*found.get(alike, ()), *change.steps)
    return tuple(replace(alike, steps=steps) for alike, steps in found.items())


def _differs(old: PlanLine, new: PlanLine) -> bool:
    return (
        old.initial != new.initial
        or old.residual != new.residual
        or {c.key for c in old.controls} != {c.key for c in new.controls}
    )


def _ratings(line: PlanLine, matrix: Matrix) -> tuple[str, str]:
    return matrix.words(line.initial), matrix.words(line.residual)


def _gone(line: PlanLine, matrix: Matrix, judge: Judge) -> LineChange:
    trace = judge(line)
    found = deciding(trace, held=False) if trace else ()
    because = tuple(dict.fromkeys(leaf.found for leaf in found if leaf.found))
    if trace is None and line.task_key != WHOLE_JOB:
        because = ("The step is not part of the job then.",)
    was = _ratings(line, matrix)
    return LineChange(Fate.GONE, (line.task_name,), line.name, was, ("", ""), because)


def _new(line: PlanLine, matrix: Matrix) -> LineChange:
    because = tuple(one.found for one in explain(line).because)
    now = _ratings(line, matrix)
    return LineChange(Fate.NEW, (line.task_name,), line.name, ("", ""), now, because)


def _changed(old: PlanLine, new: PlanLine, matrix: Matrix) -> LineChange:
    before = {control.key: control.text for control in old.controls}
    after = {control.key: control.text for control in new.controls}
    return LineChange(
        fate=_fate(old, new),
        steps=(new.task_name,),
        name=new.name,
        was=_ratings(old, matrix),
        now=_ratings(new, matrix),
        because=_what_raised(old, new),
        controls_gone=tuple(t for key, t in before.items() if key not in after),
        controls_new=tuple(t for key, t in after.items() if key not in before),
    )


def _what_raised(old: PlanLine, new: PlanLine) -> tuple[str, ...]:
    """The sentences behind a rating that is not what it was."""
    said = [f"Now: {says}" for says in new.raised if says not in old.raised]
    said += [f"No longer: {says}" for says in old.raised if says not in new.raised]
    return tuple(said)


def _fate(old: PlanLine, new: PlanLine) -> Fate:
    before, after = _badness(old), _badness(new)
    if before == after:
        return Fate.OTHER
    return Fate.WORSE if after > before else Fate.BETTER


def _badness(line: PlanLine) -> tuple[tuple[int, int, int], tuple[int, int, int]]:
    """The residual rating first: it is what people work at."""
    return _size(line.residual), _size(line.initial)


def _size(rating: Rating) -> tuple[int, int, int]:
    return rating.rank, rating.likelihood + rating.consequence, rating.consequence


def _worst(plan: HazardPlan, matrix: Matrix) -> str:
    ratings = [line.residual for line in plan.lines]
    return matrix.words(max(ratings, key=_size)) if ratings else "nothing"


def _above(plan: HazardPlan, matrix: Matrix) -> int:
    return sum(not matrix.tolerates(line.residual) for line in plan.lines)
