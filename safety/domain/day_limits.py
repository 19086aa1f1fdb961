"""A person's day of noise and vibration against the values of a place's pack."""

from dataclasses import dataclass
from datetime import date

from jobs.domain.packs import Pack, PackValue
from safety.domain.exposures import noise
from safety.domain.exposures.day import PersonDay, adjusted, minutes_left
from safety.domain.exposures.days import Hours

SHIFT_KEY = "noise.shift_adjustment"
CLASSES_KEY = "noise.protector_classes"
RATING_KEY = "noise.protector_nrr"
NOISE_KEY = "noise.lex8h"  # what a dose of 100 % is
NOISE_KEYS = ("noise.lower_action", NOISE_KEY)
UNDER_PROTECTOR_KEY = "noise.limit"  # a limit of the level under the protector
OSHA_KEY = "noise.osha_limit"
VIBRATION_KEYS = ("vibration.action", "vibration.limit")
LEVEL, MAGNITUDE = "dB(A)", "m/s2"
_HIGHEST_DOSE_PCT = 6400.0  # the end of the formula that makes a level of it
_NEEDED_FROM_DBA = noise.CRITERION_DBA


@dataclass(frozen=True, slots=True)
class Protector:
    """What the wearer's exposure asks of a hearing protector.

    ``at_ear_dba`` is the level under it; None where no method that we may cite gives it,
    or the exposure is outside of that method.
    """

    says: str
    at_ear_dba: float | None = None


@dataclass(frozen=True, slots=True)
class Judged:
    """One person's day under the law of a place and a day.

    ``noise_dba`` has the adjustment for a long shift where the place asks for it.
    ``dose_pct`` is of a day's allowance at equal energy, ``osha_dose_pct`` by 29 CFR
    1926.52 where that is the law; None where there is none. ``to_action`` and
    ``to_limit`` are minutes left on the strongest tool, None without vibration.
    """

    noise_dba: float
    dose_pct: float | None
    osha_dose_pct: float | None
    protector: Protector
    a8_ms2: float
    points: float
    passed: tuple[PackValue, ...]
    to_action: float | None
    to_limit: float | None


def shift_adjustment(pack: Pack, hours: Hours, on: date) -> float:
    """Decibels that the place adds for a shift of the firm's length, else 0."""
    if pack.find(SHIFT_KEY, on) is None:
        return 0.0
    return noise.shift_adjustment_db(hours.clock_hours)


def judged_day(person: PersonDay, pack: Pack, hours: Hours, on: date) -> Judged:
    """One person's day under a pack as it stands on a day."""
    level = adjusted(person.lex_8h_dba, shift_adjustment(pack, hours, on))
    allowed = pack.find(NOISE_KEY, on)
    protector = protector_for(level, pack, on)
    by_osha = pack.find(OSHA_KEY, on) is not None
    return Judged(
        noise_dba=level,
        dose_pct=_dose(level, allowed.number) if allowed else None,
        osha_dose_pct=person.osha_dose_pct if by_osha else None,
        protector=protector,
        a8_ms2=person.a8_ms2,
        points=person.points,
        passed=(
            *_past(pack, NOISE_KEYS, level, LEVEL, on),
            *_past(pack, (UNDER_PROTECTOR_KEY,), _at_ear(level, protector), LEVEL, on),
            *_past(pack, (OSHA_KEY,), _osha_level(person), LEVEL, on),
            *_past(pack, VIBRATION_KEYS, person.a8_ms2, MAGNITUDE, on),
        ),
        to_action=_left(person, pack.find(VIBRATION_KEYS[0], on)),
        to_limit=_left(person, pack.find(VIBRATION_KEYS[1], on)),
    )


def day_rules(pack: Pack, on: date) -> tuple[PackValue, ...]:
    """Every value of the pack that a day is judged by, noise first."""
    keys = (*NOISE_KEYS, UNDER_PROTECTOR_KEY, OSHA_KEY, *VIBRATION_KEYS)
    found = (pack.find(key, on) for key in keys)
    return tuple(value for value in found if value is not None)


def method_rules(pack: Pack, hours: Hours, on: date) -> tuple[PackValue, ...]:
    """The rules by which protectors are chosen and, on a long shift, noise is counted."""
    keys = [CLASSES_KEY, RATING_KEY]
    if shift_adjustment(pack, hours, on):
        keys.append(SHIFT_KEY)
    found = (pack.find(key, on) for key in keys)
    return tuple(value for value in found if value is not None)


def protector_for(level_dba: float, pack: Pack, on: date) -> Protector:
    """The protector for an exposure, by the method that the place uses."""
    if level_dba < _NEEDED_FROM_DBA:
        return Protector("none needed")
    if pack.find(CLASSES_KEY, on) is not None:
        return _by_class(level_dba)
    if pack.find(RATING_KEY, on) is not None:
        return _by_rating(level_dba)
    return Protector("by its maker's figures")


def _by_class(level_dba: float) -> Protector:
    if level_dba >= noise.CLASSES_END_DBA:
        return Protector("no class is enough: ask a specialist")
    number = noise.protector_class(level_dba)
    assert number is not None
    return Protector(f"class {number}", noise.under_class(level_dba, number))


def _by_rating(level_dba: float) -> Protector:
    if level_dba - noise.CRITERION_DBA > noise.MOST_BY_NRR_DB:
        return Protector("one is not enough: ask a specialist")
    rating = max(noise.nrr_needed(level_dba) or 0, noise.NRR_LOWEST_DB)
    return Protector(f"NRR {rating:.0f}", noise.under_nrr(level_dba, rating))


def _dose(level_dba: float, allowed_dba: float) -> float:
    """Percent of a day's allowance, equal energy."""
    return float(100 * 10 ** ((level_dba - allowed_dba) / 10))


def _at_ear(level_dba: float, protector: Protector) -> float:
    """The level a limit under the protector is held against: without one if not known."""
    return level_dba if protector.at_ear_dba is None else protector.at_ear_dba


def _osha_level(person: PersonDay) -> float:
    dose = min(person.osha_dose_pct, _HIGHEST_DOSE_PCT)
    return noise.osha_twa(dose) if dose > 1 else 0.0


def _past(
    pack: Pack, keys: tuple[str, ...], number: float, unit: str, on: date
) -> tuple[PackValue, ...]:
    found = (pack.find(key, on) for key in keys)
    return tuple(v for v in found if v is not None and v.exceeded_by(number, unit))


def _left(person: PersonDay, value: PackValue | None) -> float | None:
    return None if value is None else minutes_left(person, value.number)
