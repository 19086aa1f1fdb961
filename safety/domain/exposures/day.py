"""Noise and hand-arm vibration of one person over a working day, over all its steps.

Two cases are worked out. In the first one person runs every tool of the day: the highest
that anyone could get. A step of several days may have all its tool minutes on one of
them, as far as it has the time that day. In the second the tools are shared evenly among
those at the step, and over its days.

Only spells with a tool running are counted. The quiet rest of the day adds nothing that
shows: seven hours at 70 dB(A) raise 85 dB(A) by 0.1 dB. What reaches people standing by
is not counted, since no source says how near they are.
"""

from collections.abc import Callable, Collection, Iterable, Mapping
from dataclasses import dataclass, replace

from jobs.domain.facts import TaskFacts, ToolUse
from jobs.domain.tools import Tool, Typical
from safety.domain.exposures import noise, vibration
from safety.domain.exposures.days import Part, WorkDay
from safety.domain.exposures.tasks import NOTHING_MEASURED, Measured

PLACES = 6  # of a level: a sum of parts that is 85 dB(A) is not a hair below it
QUIET_DBA = 0.0  # a day without any noise that is known of


@dataclass(frozen=True, slots=True)
class Figures:
    """Levels and magnitudes by tool: the firm's own where it has measured, else typical."""

    noise_dba: Mapping[str, float]
    vibration_ms2: Mapping[str, float]
    measured: frozenset[str]  # tools with a figure of the firm's own


def figures(
    tools: Mapping[str, Tool], measured: Measured = NOTHING_MEASURED
) -> Figures:
    """The figures that exposures are worked out with."""
    return Figures(
        noise_dba={**_typical(tools, lambda t: t.noise_dba), **measured.noise_dba},
        vibration_ms2={
            **_typical(tools, lambda t: t.vibration_ms2),
            **measured.vibration_ms2,
        },
        measured=frozenset({*measured.noise_dba, *measured.vibration_ms2}),
    )


def _typical(
    tools: Mapping[str, Tool], figure: Callable[[Tool], Typical | None]
) -> dict[str, float]:
    found = ((key, figure(tool)) for key, tool in tools.items())
    return {key: typical.value for key, typical in found if typical is not None}


@dataclass(frozen=True, slots=True)
class PersonDay:
    """What one person gets in a day.

    ``lex_8h_dba`` is without any adjustment for a long shift, 0 for a day without noise;
    ``osha_dose_pct`` counts what the permissible limit counts.
    """

    spells: tuple[noise.Spell, ...]
    grips: tuple[vibration.Grip, ...]
    lex_8h_dba: float
    osha_dose_pct: float
    a8_ms2: float
    points: float


Minutes = Callable[[Part, ToolUse], float]


def one_person(part: Part, use: ToolUse) -> float:
    """Minutes of a tool that one person could run in a part of a step.

    All that the step has, where the part has the time for it; never less than the part's
    even share, since more than one of a kind may run at once.
    """
    return min(use.minutes, max(part.minutes, use.minutes * part.share))


def shared(part: Part, use: ToolUse) -> float:
    """Minutes of a tool in a part of a step, shared evenly among those at it."""
    return use.minutes * part.share / part.people


def person_day(
    parts: Collection[Part], minutes: Minutes, found: Figures, day_minutes: float
) -> PersonDay:
    """What one person gets who runs the tools of these parts for so many minutes each.

    More than ``day_minutes`` nobody works: the loudest and the strongest count then.
    """
    run = [(use.tool, minutes(part, use)) for part in parts for use in part.task.tools]
    spells = noise.busiest_day(
        [noise.Spell(found.noise_dba[t], m) for t, m in run if t in found.noise_dba],
        day_minutes,
    )
    shaken = found.vibration_ms2
    grips = vibration.busiest_day(
        [vibration.Grip(shaken[t], m) for t, m in run if t in shaken], day_minutes
    )
    daily = noise.lex_8h(spells)
    return PersonDay(
        spells=spells,
        grips=grips,
        lex_8h_dba=round(max(daily, QUIET_DBA), PLACES),
        osha_dose_pct=noise.osha_dose(spells, noise.OSHA_LIMIT_THRESHOLD_DBA),
        a8_ms2=round(vibration.a8(grips), PLACES),
        points=vibration.points(grips),
    )


@dataclass(frozen=True, slots=True)
class DayExposure:
    """One working day: the highest anyone could get, and the tools shared evenly."""

    day: WorkDay
    highest: PersonDay
    even: PersonDay


def day_exposure(day: WorkDay, found: Figures) -> DayExposure:
    """Both cases of one day."""
    return DayExposure(
        day=day,
        highest=person_day(day.parts, one_person, found, day.minutes),
        even=person_day(day.parts, shared, found, day.minutes),
    )


def loudest_day(days: Iterable[DayExposure]) -> DayExposure | None:
    """The day with the most noise for one person; None where no day has any."""
    known = [one for one in days if one.highest.spells]
    return max(known, key=lambda one: one.highest.lex_8h_dba, default=None)


def strongest_day(days: Iterable[DayExposure]) -> DayExposure | None:
    """The day with the most vibration for one person; None where no day has any."""
    known = [one for one in days if one.highest.grips]
    return max(known, key=lambda one: one.highest.a8_ms2, default=None)


def minutes_left(person: PersonDay, a8_ms2: float) -> float | None:
    """Minutes more on the day's strongest tool until A(8) reaches a value.

    0 when it has; None on a day without vibration. T = (8 h A^2 - sum(a^2 t)) / a_max^2,
    from ISO 5349-1's A(8). May exceed a day.
    """
    strongest = max((grip.magnitude_ms2 for grip in person.grips), default=0.0)
    if strongest <= 0:
        return None
    used = sum(grip.magnitude_ms2**2 * grip.minutes for grip in person.grips)
    room = vibration.DAY_MINUTES * a8_ms2**2 - used
    return max(0.0, room / strongest**2)


@dataclass(frozen=True, slots=True)
class StepDay:
    """The worst day that a step is part of, for one person on every tool of it."""

    noise_dba: float = QUIET_DBA
    a8_ms2: float = 0.0
    points: float = 0.0

    def adjusted(self, shift_db: float) -> "StepDay":
        """The same with decibels added for a long shift, where there is noise at all."""
        return replace(self, noise_dba=adjusted(self.noise_dba, shift_db))


NO_DAY = StepDay()


def adjusted(level_dba: float, shift_db: float) -> float:
    """A level with decibels added for a long shift; a day without noise keeps none."""
    return level_dba + shift_db if level_dba > QUIET_DBA else level_dba


def by_step(
    days: Iterable[DayExposure], steps: Iterable[TaskFacts], found: Figures
) -> Mapping[str, StepDay]:
    """The worst day of each step by its key.

    Never less than the step by itself on a day of its own. A step without noise, or
    without vibration, has none of its day either.
    """
    listed = tuple(days)
    return {step.key: _step_day(step, listed, found) for step in steps}


def _step_day(step: TaskFacts, days: Iterable[DayExposure], found: Figures) -> StepDay:
    alone = Part(step, 1.0, 0.0, 1)
    own = person_day([alone], one_person, found, noise.DAY_MINUTES)
    those = [own, *(one.highest for one in days if one.day.has(step.key))]
    return StepDay(
        noise_dba=max(p.lex_8h_dba for p in those) if own.spells else QUIET_DBA,
        a8_ms2=max(p.a8_ms2 for p in those) if own.grips else 0.0,
        points=max(p.points for p in those) if own.grips else 0.0,
    )
