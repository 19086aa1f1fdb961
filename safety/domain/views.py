"""The facts of a job, flattened to the names that hazard rules ask for."""

from collections.abc import Callable, Collection, Iterable, Mapping
from dataclasses import dataclass
from datetime import date
from math import isfinite

from jobs.domain.dimensions import Structure
from jobs.domain.facts import JobFacts, TaskFacts
from jobs.domain.tools import Power, Tool
from safety.domain.conditions import Facts, FactValue
from safety.domain.exposures import falls, heat, vibration, wind
from safety.domain.exposures import tasks as exposures
from safety.domain.exposures.day import NO_DAY, QUIET_DBA, StepDay, by_step
from safety.domain.exposures.day import day_exposure as exposure_of
from safety.domain.exposures.day import figures as figures_by_tool
from safety.domain.exposures.days import USUAL_HOURS, Hours, planned_days
from safety.domain.exposures.noise import (
    CLASSES_END_DBA,
    CRITERION_DBA,
    lex_8h,
    protector_class,
)
from safety.domain.exposures.tasks import Measured
from safety.domain.heat_limit import NO_LIMIT, HeatLimit

_SOUTHERN_SEASONS = ("summer", "autumn", "winter", "spring")
_LADDER_LOWEST_M, _LADDER_HIGHEST_M = 1.0, 8.0
_SHEET_COVER_M = 1.0  # taken when the width of a sheet is not given


@dataclass(frozen=True, slots=True)
class Bench:
    """What exposures are worked out with: tools, the firm's own figures and its hours."""

    tools: Mapping[str, Tool]
    measured: Measured = exposures.NOTHING_MEASURED
    heat: HeatLimit = NO_LIMIT  # the firm's
    hours: Hours = USUAL_HOURS


def season(on: date, *, southern: bool = True) -> str:
    """Season of a day, by calendar months (December begins the southern summer)."""
    quarter = (on.month % 12) // 3
    return _SOUTHERN_SEASONS[quarter if southern else (quarter + 2) % 4]


def job_facts(
    facts: JobFacts, on: date, bench: Bench, *, southern: bool = True
) -> Facts:
    """The facts of the whole job: site, dimensions, quantities and what all steps use."""
    named: dict[str, FactValue] = {}
    tools = bench.tools
    named |= _prefixed("site", facts.site)
    named |= _prefixed("dimensions", facts.dimensions)
    named |= _prefixed("quantities", facts.quantities)
    structure = Structure(facts.structure)
    named |= {
        "job.structure": facts.structure,
        "job.attached": structure.is_attached,
        "job.gable": structure.has_gable,
        "job.task_kinds": frozenset(task.kind for task in facts.tasks),
        "job.tools": _words(use.tool for task in facts.tasks for use in task.tools),
        "job.tool_tags": _words(
            tools[use.tool].power
            for task in facts.tasks
            for use in task.tools
            if use.tool in tools
        ),
        "job.lifted_how": _words(
            lift.how for task in facts.tasks for lift in task.lifts
        ),
        "job.max_work_height_m": max(
            (t.work_height_m for t in facts.tasks), default=0.0
        ),
        "job.smallest_crew": min((task.crew_min for task in facts.tasks), default=1),
        "job.person_minutes": sum(task.person_minutes for task in facts.tasks),
        **_heat_facts(facts.tasks, bench.heat),
        "job.season": season(on, southern=southern),
        "job.month": on.month,
    }
    return named


def _heat_facts(tasks: Iterable[TaskFacts], limit: HeatLimit) -> Facts:
    load = exposures.work_load(tasks)
    return {
        "job.work_load": str(load),
        "job.heat_rest": heat.rest_in_words(load, used_to_heat=True),
        "job.heat_rest_new": heat.rest_in_words(load, used_to_heat=False),
        "job.heat_limited": limit.is_set,
        "job.heat_limit": limit.says,
    }


_OF_DAY = frozenset(
    {
        *("exposure.noise_day_dba", "exposure.hearing_class"),
        *("exposure.hav_day_a8_ms2", "exposure.hav_day_points"),
    }
)


def days_by_step(
    tasks: Iterable[TaskFacts],
    bench: Bench,
    *,
    shift_db: float = 0.0,
    only: Collection[str] | None = None,
) -> Mapping[str, StepDay]:
    """The worst day of each step by its key; ``shift_db`` is added for a long shift.

    ``only`` as ``task_facts`` takes it; none are worked out when none is asked for.
    """
    if not _any(only, _OF_DAY.__contains__):
        return {}
    listed = tuple(tasks)
    found = figures_by_tool(bench.tools, bench.measured)
    days = [exposure_of(day, found) for day in planned_days(listed, bench.hours)]
    plain = by_step(days, listed, found)
    return {key: day.adjusted(shift_db) for key, day in plain.items()}


def task_facts(
    task: TaskFacts,
    of_job: Facts,
    bench: Bench,
    day: StepDay = NO_DAY,
    *,
    only: Collection[str] | None = None,
) -> Facts:
    """The facts of one step, with those of its job, its exposures and its worst day.

    ``only`` names the facts that will be looked at; what is dear to work out and none of
    them may be left out then.
    """
    return {
        **of_job,
        **_plain_facts(task, bench),
        **(_lift_facts(task) if _any(only, _is_of_lifts) else {}),
        **(_exposures(task, of_job, bench) if _any(only, _is_exposure) else {}),
        **_day_facts(day),
    }


def _day_facts(day: StepDay) -> Facts:
    needs_class = CRITERION_DBA <= day.noise_dba < CLASSES_END_DBA
    return {
        "exposure.noise_day_dba": day.noise_dba,
        "exposure.hearing_class": (
            protector_class(day.noise_dba) if needs_class else None
        ),
        "exposure.hav_day_a8_ms2": day.a8_ms2,
        "exposure.hav_day_points": day.points,
    }


def _any(only: Collection[str] | None, kind: Callable[[str], bool]) -> bool:
    return only is None or any(kind(name) for name in only)


def _is_of_lifts(name: str) -> bool:
    return "lift" in name or name == "task.heaviest_piece"


def _is_exposure(name: str) -> bool:
    return name.startswith("exposure.") and not _is_of_lifts(name)


def _prefixed(prefix: str, values: Mapping[str, FactValue]) -> dict[str, FactValue]:
    return {f"{prefix}.{key}": _plain(value) for key, value in values.items()}


def _plain(value: FactValue) -> FactValue:
    """A StrEnum as the plain word that rules compare with."""
    return str(value) if isinstance(value, str) else value


def _words(values: Iterable[str]) -> frozenset[str]:
    return frozenset(str(value) for value in values)


def _plain_facts(task: TaskFacts, bench: Bench) -> Facts:
    used = [bench.tools[use.tool] for use in task.tools if use.tool in bench.tools]
    return {
        "task.kind": task.kind,
        "task.name": task.name,
        "task.key": task.key,
        "task.work_height_m": task.work_height_m,
        "task.crew_min": task.crew_min,
        "task.crew_max": task.crew_max,
        "task.person_minutes": task.person_minutes,
        "task.quantity": task.quantity,
        "task.tools": _words(use.tool for use in task.tools),
        "task.tool_tags": _words(tool.power for tool in used),
        "task.tool_minutes": sum(
            use.minutes for use in task.tools if _is_powered(use.tool, bench)
        ),
        "task.tickets": frozenset(task.tickets),
        "task.materials": frozenset(task.materials),
        "task.stops_in_rain": task.stops_in_rain,
        "task.wind_limit_ms": task.wind_limit_ms,
    }


def _is_powered(key: str, bench: Bench) -> bool:
    tool = bench.tools.get(key)
    return tool is not None and tool.power not in (Power.HAND, Power.NONE)


def _lift_facts(task: TaskFacts) -> Facts:
    by_hand = exposures.hand_lifts(task)
    worst = exposures.worst_lift(task)
    return {
        "task.pieces_lifted": _words(lift.piece for lift in task.lifts),
        "task.lifted_how": _words(lift.how for lift in task.lifts),
        "task.lift_count": sum(lift.count for lift in task.lifts),
        "task.heaviest_lift_kg": max(
            (lift.mass_kg for lift in task.lifts), default=0.0
        ),
        "task.longest_lift_m": max((lift.length_m for lift in task.lifts), default=0.0),
        "task.highest_lift_m": max(
            (lift.to_height_m for lift in task.lifts), default=0.0
        ),
        "task.kinds_lifted_by_hand": len(by_hand),
        "task.heaviest_hand_lift_kg": max(
            (lift.mass_kg for lift in by_hand), default=0.0
        ),
        "task.lift_people": worst.people if worst else 0,
        "task.heaviest_piece": worst.name if worst else "nothing",
        "exposure.lift_index": exposures.index_of(worst) if worst else 0.0,
        "exposure.lift_together": exposures.index_together(task),
        "exposure.lift_share_kg": exposures.share_kg(worst) if worst else 0.0,
    }


def _exposures(task: TaskFacts, of_job: Facts, bench: Bench) -> Facts:
    masonry = exposures.masonry_tools(bench.tools)
    return {
        **_noise_facts(task, bench),
        **_vibration_facts(task, bench),
        **_height_facts(task),
        **_wind_facts(task, of_job),
        "exposure.silica_minutes": exposures.minutes_of(task, masonry),
        "exposure.spark_minutes": exposures.minutes_of(task, exposures.SPARK_TOOLS),
    }


def _noise_facts(task: TaskFacts, bench: Bench) -> Facts:
    spells = exposures.noise_spells(task, bench.tools, bench.measured)
    daily = lex_8h(spells)
    return {
        "exposure.noise_lex8h_dba": daily if isfinite(daily) else QUIET_DBA,
        "exposure.noise_loudest_dba": max((s.level_dba for s in spells), default=0.0),
        "exposure.noise_figures": exposures.figures_of(
            task,
            {key for key, tool in bench.tools.items() if tool.noise_dba},
            bench.measured.noise_dba,
        ),
    }


def _vibration_facts(task: TaskFacts, bench: Bench) -> Facts:
    grips = exposures.vibration_grips(task, bench.tools, bench.measured)
    return {
        "exposure.hav_a8_ms2": vibration.a8(grips),
        "exposure.hav_points": vibration.points(grips),
        "exposure.vibration_figures": exposures.figures_of(
            task,
            {key for key, tool in bench.tools.items() if tool.vibration_ms2},
            bench.measured.vibration_ms2,
        ),
    }


def _height_facts(task: TaskFacts) -> Facts:
    height = task.work_height_m
    in_range = _LADDER_LOWEST_M <= height <= _LADDER_HIGHEST_M
    return {
        "exposure.fall_height_m": height,
        "exposure.fall_clearance_m": height,
        "exposure.ladder_foot_out_m": (
            falls.ladder_foot_out_m(height) if in_range else None
        ),
        "exposure.ladder_length_m": falls.ladder_length_m(height) if in_range else None,
    }


def _wind_facts(task: TaskFacts, of_job: Facts) -> Facts:
    cover = of_job.get("dimensions.sheet_cover_m")
    width = cover if isinstance(cover, float) else _SHEET_COVER_M
    speed = exposures.judged_wind_ms(task)
    return {
        "exposure.wind_force_n": exposures.sheet_push_n(task, width),
        "exposure.wind_judged_ms": speed,
        "exposure.wind_beaufort": wind.beaufort(speed),
    }
