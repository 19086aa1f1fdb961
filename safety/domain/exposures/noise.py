"""Noise at the ear, ignoring hearing protectors: daily exposure and dose.

Levels are A-weighted, in dB(A); times are minutes.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from math import ceil, inf, log10

from safety.domain.exposures.ranges import within

DAY_MINUTES = 480.0  # the eight hours that LEX,8h and OSHA's dose refer to
LEVEL_LOWEST_DBA = 20.0
LEVEL_HIGHEST_DBA = 140.0  # above it a peak limit decides, not energy
MINUTES_HIGHEST = 1440.0

CRITERION_DBA = 85.0
EXCHANGE_DB = 3.0  # equal energy: half the time for every 3 dB
OSHA_CRITERION_DBA = 90.0
OSHA_EXCHANGE_DB = 5.0
OSHA_THRESHOLD_DBA = 80.0  # quieter spells do not count for hearing conservation
OSHA_LIMIT_THRESHOLD_DBA = 90.0  # nor these for the permissible limit, Table D-2


@dataclass(frozen=True, slots=True)
class Spell:
    """Some minutes at one level."""

    level_dba: float
    minutes: float


def lex_8h(spells: Iterable[Spell]) -> float:
    """Daily noise exposure LEX,8h in dB(A), 3 dB exchange.

    LEX,8h = 10 log10( sum(t_i 10^(L_i/10)) / 8 h ). Source: AS/NZS 1269.1 and ISO 9612
    (the equal-energy form, checked against Directive 2003/10/EC tables). Range: 20 to
    140 dB(A), together no more than 24 hours. No minutes at all give minus infinity.
    """
    energy = sum(s.minutes * 10 ** (s.level_dba / 10) for s in _checked(spells))
    return 10 * log10(energy / DAY_MINUTES) if energy else -inf


def _checked(spells: Iterable[Spell]) -> tuple[Spell, ...]:
    found = tuple(spells)
    for spell in found:
        within(
            "Noise level in dB(A)", spell.level_dba, LEVEL_LOWEST_DBA, LEVEL_HIGHEST_DBA
        )
        within("Minutes of noise", spell.minutes, 0, MINUTES_HIGHEST)
    within(
        "Minutes of noise in a day", sum(s.minutes for s in found), 0, MINUTES_HIGHEST
    )
    return found


def allowed_minutes(
    level_dba: float,
    criterion_dba: float = CRITERION_DBA,
    exchange_db: float = EXCHANGE_DB,
) -> float:
    """Minutes a day at one level that just reach the criterion for eight hours.

    T = 480 / 2^((L - criterion) / exchange). Source: NIOSH 98-126 Table 1-1 with 85 and
    3; 29 CFR 1910.95 Table G-16a with 90 and 5. Range: 20 to 140 dB(A).
    """
    within("Noise level in dB(A)", level_dba, LEVEL_LOWEST_DBA, LEVEL_HIGHEST_DBA)
    return float(DAY_MINUTES / 2 ** ((level_dba - criterion_dba) / exchange_db))


def shift_adjustment_db(shift_hours: float) -> float:
    """Decibels to add to LEX,8h for a long shift.

    AS/NZS 1269.1: 0 below 10 h, 1 from 10, 2 from 14, 3 from 20 h (remembered; the
    model code's 12 h and 16 h rows agree). Range: 0 to 24 h.
    """
    within("Hours of the shift", shift_hours, 0, 24)
    steps = ((20, 3.0), (14, 2.0), (10, 1.0))
    return next((add for start, add in steps if shift_hours >= start), 0.0)


def osha_dose(
    spells: Iterable[Spell], threshold_dba: float = OSHA_THRESHOLD_DBA
) -> float:
    """Noise dose in percent by 29 CFR 1910.95 Appendix A: D = 100 sum(C / T).

    5 dB exchange, criterion 90 dB(A). Spells below the threshold do not count: 80 dB(A)
    for hearing conservation, 90 for the permissible limit (read in worked examples of
    both, http://oshanoise.com/osha_standard.html). Range as for ``lex_8h``.
    """
    return 100 * sum(
        s.minutes / allowed_minutes(s.level_dba, OSHA_CRITERION_DBA, OSHA_EXCHANGE_DB)
        for s in _checked(spells)
        if s.level_dba >= threshold_dba
    )


def osha_twa(dose_pct: float) -> float:
    """Eight-hour average in dB(A) of an OSHA dose: 16.61 log10(D/100) + 90.

    Source: 29 CFR 1910.95 Appendix A. Range: more than 0 to 6 400 %, 30 dB up.
    """
    within("Noise dose in percent", dose_pct, 1e-3, 6400)
    return 16.61 * log10(dose_pct / 100) + OSHA_CRITERION_DBA


def busiest_day(
    spells: Iterable[Spell], minutes: float = DAY_MINUTES
) -> tuple[Spell, ...]:
    """The loudest spells that fit in one person's day, loudest first.

    A task of several days must not be counted as one day, nor may a long quiet spell
    push a loud one out: so the day is filled from the loudest down.
    """
    left = minutes
    chosen: list[Spell] = []
    for spell in sorted(spells, key=lambda s: -s.level_dba):
        share = min(left, spell.minutes)
        if share > 0:
            chosen.append(Spell(spell.level_dba, share))
            left -= share
    return tuple(chosen)


# AS/NZS 1269.3: class of protector by the wearer's LAeq,8h, and the least SLC80 of each
_CLASSES = ((90.0, 1), (95.0, 2), (100.0, 3), (105.0, 4), (110.0, 5))
_LEAST_SLC80_DB = {1: 10.0, 2: 14.0, 3: 18.0, 4: 22.0, 5: 26.0}
CLASSES_END_DBA = 110.0
NRR_LOWEST_DB = 7.0  # below it nothing is left once 7 dB are taken off
NRR_HIGHEST_DB = 33.0  # no protector is labelled higher; remembered
MOST_BY_NRR_DB = (NRR_HIGHEST_DB - NRR_LOWEST_DB) / 2


def protector_class(lex_8h_dba: float) -> int | None:
    """Class 1 to 5 of hearing protector for a daily exposure; None below 85 dB(A).

    AS/NZS 1269.3 selection by class: class 1 below 90 dB(A), one class more for each
    5 dB. Read in copies of the table, https://scandiagear.com/norms-and-standards/
    as-nzs-1270-2002/ ; the standard itself not read. Range: up to, not including,
    110 dB(A); above it no class is enough without a specialist.
    """
    within("Daily noise exposure in dB(A)", lex_8h_dba, -inf, CLASSES_END_DBA - 1e-9)
    if lex_8h_dba < CRITERION_DBA:
        return None
    return next(number for below, number in _CLASSES if lex_8h_dba < below)


def under_class(lex_8h_dba: float, protector: int) -> float:
    """Level at the ear in dB(A) under a protector of a class, as its wearers get it.

    The exposure less the least SLC80 of the class (10, 14, 18, 22, 26 dB; read as for
    ``protector_class``). SLC80 counts from the C-weighted level; taking the A-weighted
    one fits tools without strong low tones. Range: a class that is enough for the
    exposure, class 1 to 5; ValueError otherwise.
    """
    enough = protector_class(lex_8h_dba) or 1
    within("Class of hearing protector", protector, enough, 5)
    return lex_8h_dba - _LEAST_SLC80_DB[protector]


def under_nrr(level_dba: float, nrr_db: float, *, halved: bool = True) -> float:
    """Level at the ear in dB(A) under a protector of a noise reduction rating.

    L - (NRR - 7) / 2, as OSHA's field manual derates it, or L - (NRR - 7) as 29 CFR
    1910.95 Appendix B has it for A-weighted levels (both read second hand, https://
    www.noisemeters.com/apps/occ/help/protector-nrr.asp as quoted). Range: NRR 7 to 33.
    """
    within("Noise reduction rating in dB", nrr_db, NRR_LOWEST_DB, NRR_HIGHEST_DB)
    return level_dba - (nrr_db - NRR_LOWEST_DB) / (2 if halved else 1)


def nrr_needed(level_dba: float, wanted_dba: float = CRITERION_DBA) -> int | None:
    """The least rating in whole dB that brings a level down to one, derated by half.

    None when the level is no higher than wanted. Range: up to the level that a rating
    of 33 brings down, 13 dB; ValueError above, where one protector is not enough.
    """
    above = level_dba - wanted_dba
    within("Decibels to take away", above, -inf, MOST_BY_NRR_DB)
    return ceil(2 * above + NRR_LOWEST_DB - 1e-9) if above > 0 else None
