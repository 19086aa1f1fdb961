"""Exposures of one step of a job, from its tools, lifts and heights.

Tool figures are typical until the firm measures its own. What one step gives is counted
as one person's busiest day at it: the loudest eight hours, the heaviest lift.
"""

from collections.abc import Mapping
from dataclasses import dataclass

from jobs.domain.facts import Lift, TaskFacts
from jobs.domain.methods import Lifting
from jobs.domain.tools import Tool
from safety.domain.exposures import lifting, noise, vibration, wind

SHEET_WORDS = ("sheet", "panel")
SPARK_TOOLS = frozenset({"angle_grinder"})
HAND_WAYS = frozenset({Lifting.BY_HAND.value, Lifting.PROPS.value})

# Typical posture for long building pieces; a firm that measures its own replaces them.
REACH_CM = 40.0
HIGHEST_REACH_CM = 175.0  # the equation's upper end; above it people stand higher
LIFT_DURATION = lifting.Duration.LONG
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
    start = min(max(lift.from_height_m * 100, 0.0), HIGHEST_REACH_CM)
    end = min(max(lift.to_height_m * 100, 0.0), HIGHEST_REACH_CM)
    travel = abs(end - start)

    def judged_at(height_cm: float) -> float:
        way = lifting.HandLift(
            reach_cm=REACH_CM,
            height_cm=height_cm,
            travel_cm=travel,
            duration=LIFT_DURATION,
            hold=lifting.Hold.POOR,
            origin_height_cm=start,
        )
        return lifting.lifting_index(min(share_kg(lift), 200.0), way)

    return max(judged_at(start), judged_at(end))


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
