"""Exposures of one step of a job, from its tools, lifts and heights.

Tool figures are typical until the firm measures its own. What one step gives is counted
as one person's busiest day at it: the loudest eight hours, the heaviest lift.
"""

from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass, replace

from jobs.domain.facts import Lift, TaskFacts
from jobs.domain.methods import Lifting
from jobs.domain.tools import Tool
from safety.domain.exposures import heat, lifting, noise, vibration, wind

SHEET_WORDS = ("sheet", "panel")
SPARK_TOOLS = frozenset({"angle_grinder"})
HAND_WAYS = frozenset({Lifting.BY_HAND.value, Lifting.PROPS.value})

# Typical postures, common practice without a source: a slender piece is held close, a
# sheet is as far away as half its width.
REACH_CM = 30.0
SHEET_REACH_CM = 45.0
HIGHEST_REACH_CM = 175.0  # the equation's upper end; above it people stand higher
# At the equation's lowest rate, one lift in five minutes, an hour has twelve lifts.
LIFTS_IN_ONE_HOUR = 12
LIFTS_IN_TWO_HOURS = 24
MOST_KINDS = 10  # of lifts in one composite index
HEAVIEST_SHARE_KG = 200.0  # the equation's end; nobody lifts it anyway
DIGGING = frozenset({"dig_footings"})
HEAVY_KG = 15.0
FRESH_BREEZE_MS = 8.0  # judged at this when the firm sets no limit for the step


@dataclass(frozen=True, slots=True)
class Measured:
    """Figures of the firm's own tools, which replace the typical ones."""

    noise_dba: Mapping[str, float]
    vibration_ms2: Mapping[str, float]


NOTHING_MEASURED = Measured({}, {})


def noise_spells(
    task: TaskFacts, tools: Mapping[str, Tool], measured: Measured = NOTHING_MEASURED
) -> tuple[noise.Spell, ...]:
    """The busiest day's spells of the person who runs the step's tools."""
    spells = []
    for use in task.tools:
        level = measured.noise_dba.get(use.tool)
        typical = tools[use.tool].noise_dba if use.tool in tools else None
        if level is None and typical is not None:
            level = typical.value
        if level is not None:
            spells.append(noise.Spell(level, use.minutes))
    return noise.busiest_day(spells)


def vibration_grips(
    task: TaskFacts, tools: Mapping[str, Tool], measured: Measured = NOTHING_MEASURED
) -> tuple[vibration.Grip, ...]:
    """The busiest day's trigger minutes of the person who runs the step's tools."""
    grips = []
    for use in task.tools:
        magnitude = measured.vibration_ms2.get(use.tool)
        typical = tools[use.tool].vibration_ms2 if use.tool in tools else None
        if magnitude is None and typical is not None:
            magnitude = typical.value
        if magnitude is not None:
            grips.append(vibration.Grip(magnitude, use.minutes))
    return vibration.busiest_day(grips)


def figures_of(
    task: TaskFacts, typical: Collection[str], measured: Collection[str]
) -> str:
    """Whether the step's figures are typical ones or the firm's own, in words.

    ``typical`` and ``measured`` are the tools that there is such a figure of.
    """
    return figures_used([task], typical, measured)


def figures_used(
    tasks: Iterable[TaskFacts], typical: Collection[str], measured: Collection[str]
) -> str:
    """The same of several steps together."""
    known = {*typical, *measured}
    used = {use.tool for task in tasks for use in task.tools if use.tool in known}
    ours = used.intersection(measured)
    if not ours:
        return "typical figures"
    return "figures of our own tools" if ours == used else "some typical figures"


def hand_lifts(task: TaskFacts) -> tuple[Lift, ...]:
    """The lifts that people's arms take, propped stages included."""
    return tuple(lift for lift in task.lifts if str(lift.how) in HAND_WAYS)


def share_kg(lift: Lift) -> float:
    """What one person carries of a lift, a team counting less than its number."""
    return lifting.share_of_team(lift.mass_kg, min(max(lift.people, 1), 8))


def index_of(lift: Lift) -> float:
    """Lifting index of one hand lift in typical posture.

    Judged from where the hands start to where they end, but no higher than the equation
    reaches: a lift above 1.75 m is staged from a platform and is a hazard of its own.
    """
    return _worse_end(lift, lift.count).single_index


def index_together(task: TaskFacts) -> float:
    """Composite lifting index of all hand lifts of a step, 0 when there are none.

    As if the same people made them all, over as long as all of them take; of more than
    ten kinds of lift the ten worst count, which is how far the equation goes.
    """
    lifts = sorted(hand_lifts(task), key=index_of, reverse=True)[:MOST_KINDS]
    count = sum(lift.count for lift in hand_lifts(task))
    if not lifts:
        return 0.0
    return lifting.composite_index(_worse_end(lift, count) for lift in lifts)


def _worse_end(lift: Lift, count: int) -> lifting.TaskLift:
    """The lift as judged at its origin or destination, whichever is worse."""
    start = min(max(lift.from_height_m * 100, 0.0), HIGHEST_REACH_CM)
    end = min(max(lift.to_height_m * 100, 0.0), HIGHEST_REACH_CM)
    way = lifting.HandLift(
        reach_cm=SHEET_REACH_CM if is_sheet(lift) else REACH_CM,
        height_cm=start,
        travel_cm=abs(end - start),
        duration=duration_of(count),
        hold=lifting.Hold.POOR if is_sheet(lift) else lifting.Hold.FAIR,
        origin_height_cm=start,
    )
    mass = min(share_kg(lift), HEAVIEST_SHARE_KG)
    ends = (way, replace(way, height_cm=end))
    return max(
        (lifting.TaskLift(at, mass) for at in ends), key=lambda task: task.single_index
    )


def duration_of(count: int) -> lifting.Duration:
    """How long so many lifts take at one in five minutes."""
    if count <= LIFTS_IN_ONE_HOUR:
        return lifting.Duration.SHORT
    if count <= LIFTS_IN_TWO_HOURS:
        return lifting.Duration.MODERATE
    return lifting.Duration.LONG


def work_load(steps: Iterable[TaskFacts]) -> heat.Load:
    """How hard the work of a job is where people get hot.

    Heavy where people dig, or carry more than 15 kg each; moderate otherwise. The groups
    are those of ACGIH, with sawing, fixing and laying as moderate; where this trade's
    steps fall is common practice, no source.
    """
    heavy = any(
        step.kind in DIGGING or any(share_kg(x) > HEAVY_KG for x in hand_lifts(step))
        for step in steps
    )
    return heat.Load.HEAVY if heavy else heat.Load.MODERATE


def worst_lift(task: TaskFacts) -> Lift | None:
    """The hand lift with the highest index; None when nothing is lifted by hand."""
    return max(hand_lifts(task), key=index_of, default=None)


def is_sheet(lift: Lift) -> bool:
    """Whether the wind gets hold of the piece as it does of a roof sheet."""
    return any(word in lift.piece for word in SHEET_WORDS)


def sheet_push_n(task: TaskFacts, cover_m: float) -> float:
    """Push of the wind on the step's longest sheet at the firm's limit, in newtons."""
    longest = max((lift.length_m for lift in task.lifts if is_sheet(lift)), default=0.0)
    return wind.sheet_force_n(judged_wind_ms(task), min(longest, 15.0), min(cover_m, 2))


def judged_wind_ms(task: TaskFacts) -> float:
    """The wind a step is judged in: the firm's limit for it, else a fresh breeze."""
    return FRESH_BREEZE_MS if task.wind_limit_ms is None else task.wind_limit_ms


def minutes_of(task: TaskFacts, tools: frozenset[str]) -> float:
    """Running minutes of certain tools in the step."""
    return sum(use.minutes for use in task.tools if use.tool in tools)


def masonry_tools(tools: Mapping[str, Tool]) -> frozenset[str]:
    """Keys of tools that make dust of concrete."""
    return frozenset(key for key, tool in tools.items() if tool.makes_dust_of)
