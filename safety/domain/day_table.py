"""Noise and vibration of a person's day as a compact table, in words and plain data.

For the page of a plan and the print of a statement, which keeps it. It stands outside of
what people sign: hazards, controls and ratings count, not arithmetic.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any

from jobs.domain.facts import JobFacts, TaskFacts
from jobs.domain.packs import Pack, PackValue
from safety.domain.day_limits import Judged, day_rules, judged_day, method_rules
from safety.domain.exposures import noise
from safety.domain.exposures.day import (
    DayExposure,
    PersonDay,
    day_exposure,
    figures,
    loudest_day,
    strongest_day,
)
from safety.domain.exposures.days import Part, WorkDay, planned_days
from safety.domain.exposures.tasks import figures_used
from safety.domain.views import Bench
from safety.domain.wording import listed, shown_number

MOST_DAYS = 4  # told in full; the rest are named
MOST_STEPS = 2  # named as the loudest of a day
CLEARLY_DB = 1.0  # from these differences on a booked day is said to be worse
CLEARLY_MS2 = 0.3
Content = dict[str, Any]


@dataclass(frozen=True, slots=True)
class _Case:
    """A way of running the tools, and what it comes to."""

    who: str
    person: PersonDay
    judged: Judged


@dataclass(frozen=True, slots=True)
class _Told:
    """A day with both its cases."""

    exposure: DayExposure
    cases: tuple[_Case, _Case]

    @property
    def passes(self) -> bool:
        """Whether any value is passed, however the tools are run."""
        return any(case.judged.passed for case in self.cases)


def planned_table(
    facts: JobFacts, bench: Bench, pack: Pack, on: date
) -> Content | None:
    """The table of a job whose days nobody has booked; None without noise or vibration.

    ``on`` is the day whose law it follows.
    """
    days = planned_days(facts.tasks, bench.hours)
    return day_table(days, bench, pack, on)


def day_table(
    days: Iterable[WorkDay], bench: Bench, pack: Pack, on: date
) -> Content | None:
    """The table of these days; None when none of them has noise or vibration.

    Keys: booked, rows (each with its two cases), rest, figures, rules, methods. A booked
    day follows the law of its own date.
    """
    found = figures(bench.tools, bench.measured)
    exposures = tuple(day_exposure(day, found) for day in days)
    worst = loudest_day(exposures), strongest_day(exposures)
    if worst == (None, None):
        return None
    told = [_told(one, bench, pack, one.day.on or on) for one in exposures]
    rows = [one for one in told if one.passes or _is_worst(one, worst)]
    rows.sort(
        key=lambda one: (bool(_is_worst(one, worst)), *_weight(one)), reverse=True
    )
    full = sorted(rows[:MOST_DAYS], key=_number)
    return {
        "booked": any(one.day.on for one in exposures),
        "people": max(one.day.people for one in exposures),
        "rows": [_row(one, bench, _is_worst(one, worst)) for one in full],
        "rest": _rest(told, full),
        "figures": figures_used(
            (part.task for one in exposures for part in one.day.parts),
            {*found.noise_dba, *found.vibration_ms2} - found.measured,
            found.measured,
        ),
        "rules": [_rule(value) for value in day_rules(pack, on)],
        "methods": [_rule(value) for value in method_rules(pack, bench.hours, on)],
    }


def higher_than(
    planned: Iterable[WorkDay], booked: Iterable[WorkDay], bench: Bench
) -> str:
    """A sentence where one person could get clearly more as booked than as planned."""
    found = figures(bench.tools, bench.measured)
    plan, now = (
        [day_exposure(day, found).highest for day in days] for days in (planned, booked)
    )
    levels = [max((p.lex_8h_dba for p in some), default=0.0) for some in (plan, now)]
    shakes = [max((p.a8_ms2 for p in some), default=0.0) for some in (plan, now)]
    says = []
    if levels[1] >= levels[0] + CLEARLY_DB:
        says.append(f"{levels[1]:.0f} dB(A), and the plan counts with {levels[0]:.0f}")
    if shakes[1] >= shakes[0] + CLEARLY_MS2:
        says.append(
            f"A(8) {shakes[1]:.1f} m/s², and the plan counts with {shakes[0]:.1f}"
        )
    return f"As booked, one person could get {'; '.join(says)}." if says else ""


def _told(exposure: DayExposure, bench: Bench, pack: Pack, on: date) -> _Told:
    most = max((part.people for part in exposure.day.parts), default=1)
    who = "one person on every tool", f"shared by {most}"
    people = exposure.highest, exposure.even
    one, even = (
        _Case(words, person, judged_day(person, pack, bench.hours, on))
        for words, person in zip(who, people, strict=True)
    )
    return _Told(exposure, (one, even))


def _is_worst(one: _Told, worst: tuple[DayExposure | None, DayExposure | None]) -> str:
    """What a day has most of, in words; "" for a day that another one passes."""
    loudest, strongest = (one.exposure is exposure for exposure in worst)
    if loudest and strongest:
        return "most noise and vibration"
    return "most noise" if loudest else "most vibration" if strongest else ""


def _weight(one: _Told) -> tuple[int, float, float]:
    judged = one.cases[0].judged
    return len(judged.passed), judged.noise_dba, judged.a8_ms2


def _number(one: _Told) -> int:
    return one.exposure.day.number


def _row(one: _Told, bench: Bench, worst: str) -> Content:
    day = one.exposure.day
    loud = _loudest(day.parts, bench)
    return {
        "name": f"Day {day.number}",
        "on": day.on.isoformat() if day.on else "",
        "people": day.people,
        "steps": [f"{task.position}. {task.name}" for task in loud],
        "numbers": sorted(task.position for task in loud),
        "worst": worst,
        "cases": [_case(case) for case in one.cases],
    }


def _loudest(parts: Sequence[Part], bench: Bench) -> list[TaskFacts]:
    """The steps that add most noise, else most vibration."""
    found = figures(bench.tools, bench.measured)

    def adds(part: Part) -> tuple[float, float]:
        alone = day_exposure(WorkDay(1, noise.DAY_MINUTES, 1, (part,)), found).highest
        return alone.lex_8h_dba, alone.a8_ms2

    ranked = sorted(parts, key=adds, reverse=True)
    return [part.task for part in ranked if any(adds(part))][:MOST_STEPS]


def _case(case: _Case) -> Content:
    judged = case.judged
    osha, at_ear = judged.osha_dose_pct, judged.protector.at_ear_dba
    return {
        "who": case.who,
        "noise": _figure(judged.noise_dba, 1),
        "dose": "" if judged.dose_pct is None else f"{judged.dose_pct:,.0f} %",
        "osha_dose": "" if osha is None else f"{osha:,.0f} %",
        "protector": judged.protector.says,
        "at_ear": "" if at_ear is None else f"{at_ear:.0f}",
        "a8": _figure(judged.a8_ms2, 1),
        "points": _figure(judged.points, 0),
        "to_action": _minutes(judged.to_action),
        "to_limit": _minutes(judged.to_limit),
        "passed": [shown_number(value.number, value.unit) for value in judged.passed],
    }


def _figure(number: float, places: int) -> str:
    return f"{number:.{places}f}" if number > 0 else "–"


def _minutes(left: float | None) -> str:
    """Rounded down: nobody is told that there is more time than there is."""
    if left is None:
        return "–"
    whole = int(left)
    if whole < 1:
        return "under 1 min" if left > 0 else "none"
    hours, minutes = divmod(whole, 60)
    return f"{hours} h {minutes:02} min" if hours else f"{minutes} min"


def _rest(told: Sequence[_Told], full: Sequence[_Told]) -> list[str]:
    """The days that are not told in full, in a sentence each."""
    left = [one for one in told if one not in full]
    passing = [one for one in left if one.passes]
    below = [one for one in left if not one.passes]
    says = []
    if passing:
        says.append(f"{_days(passing)} also past a value, but by less.")
    if below:
        says.append(f"{_days(below)} below every value.")
    return says


def _days(some: Sequence[_Told]) -> str:
    numbers = listed([str(one.exposure.day.number) for one in some])
    return f"Day {numbers} is" if len(some) == 1 else f"Days {numbers} are"


def _rule(value: PackValue) -> Content:
    return {
        "value": _limit(value),
        "says": value.says,
        "source": value.source.cite(),
        "basis": value.source.basis.value,
    }


def _limit(value: PackValue) -> str:
    """The limit in words, "" for a rule without a number."""
    if value.edge is None:
        return ""
    return f"{value.edge} {shown_number(value.number, value.unit)}"
