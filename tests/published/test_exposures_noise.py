"""Noise exposure and dose against printed tables."""

import pytest

from safety.domain.exposures.noise import (
    OSHA_CRITERION_DBA,
    OSHA_EXCHANGE_DB,
    Spell,
    allowed_minutes,
    lex_8h,
    osha_dose,
    osha_twa,
    shift_adjustment_db,
)

# European Commission, table of equal-energy exposures; read: http://ec.europa.eu/health/
# opinions/en/hearing-loss-personal-music-player-mp3/figtableboxes/table-3.htm
EQUAL_ENERGY = [
    (80, 83, 240),
    (80, 86, 120),
    (80, 89, 60),
    (80, 92, 30),
    (80, 95, 15),
    (85, 88, 240),
    (85, 91, 120),
    (85, 94, 60),
    (85, 97, 30),
    (85, 100, 15),
    (87, 90, 240),
    (87, 93, 120),
    (87, 96, 60),
    (87, 99, 30),
    (87, 102, 15),
]


@pytest.mark.parametrize(("criterion", "level", "minutes"), EQUAL_ENERGY)
def test_half_the_time_for_three_decibels_more(criterion, level, minutes):
    assert allowed_minutes(level, criterion) == pytest.approx(minutes, rel=1e-9)
    # the table counts 3 dB as exactly half, which it is to 0.01 dB
    assert lex_8h([Spell(level, minutes)]) == pytest.approx(criterion, abs=0.06)


@pytest.mark.parametrize(
    ("level", "seconds"),
    [
        (80, 25 * 3600 + 24 * 60),
        (82, 16 * 3600),
        (85, 8 * 3600),
        (88, 4 * 3600),
        (90, 2 * 3600 + 31 * 60),
        (95, 47 * 60 + 37),
        (100, 15 * 60),
        (105, 4 * 60 + 43),
        (110, 60 + 29),
        (115, 28),
    ],
)
def test_niosh_table_of_allowed_times(level, seconds):
    # NIOSH 98-126 Table 1-1; read: https://www.engineeringtoolbox.com/noise-exposure-level-
    # duration-d_717.html . Printed to the second below, to the minute above an hour.
    close = 60 if seconds >= 3600 else 1
    assert allowed_minutes(level) * 60 == pytest.approx(seconds, abs=close)


@pytest.mark.parametrize(
    ("level", "hours"),
    [
        (80, 32),
        (85, 16),
        (86, 13.9),
        (88, 10.6),
        (90, 8),
        (92, 6.1),
        (95, 4),
        (97, 3.0),
        (100, 2),
        (105, 1),
        (110, 0.5),
        (115, 0.25),
        (120, 0.125),
    ],
)
def test_osha_table_g_16a(level, hours):
    # 29 CFR 1910.95 Table G-16a; read: https://www.osha.gov/pls/oshaweb/owadisp.show_document
    # ?p_table=STANDARDS&p_id=9736 to 86 dB, the rest in a secondary copy
    found = allowed_minutes(level, OSHA_CRITERION_DBA, OSHA_EXCHANGE_DB) / 60
    assert found == pytest.approx(hours, abs=0.05)


@pytest.mark.parametrize(
    ("dose", "twa"),
    [(10, 73.4), (25, 80.0), (50, 85.0), (100, 90.0), (200, 95.0), (400, 100.0)],
)
def test_osha_dose_as_an_average(dose, twa):
    # 29 CFR 1910.95 Appendix A Table A-1; remembered, the formula read
    assert osha_twa(dose) == pytest.approx(twa, abs=0.05)


def test_eight_hours_at_92_decibels_is_a_dose_of_131_percent():
    # 29 CFR 1910.95 Appendix A, 100 x 8 / 6.1; computed from the read table, which rounds
    assert osha_dose([Spell(92, 480)]) == pytest.approx(131, abs=1.5)


@pytest.mark.parametrize(("minutes", "lower_by"), [(450, 0.3), (380, 1.0), (300, 2.0)])
def test_quiet_breaks_lower_the_day_a_little(minutes, lower_by):
    # A noise consultant's table; read: https://tonywoolf.co.uk/no_java.htm
    whole = lex_8h([Spell(90, 480)])
    assert whole - lex_8h([Spell(90, minutes)]) == pytest.approx(lower_by, abs=0.05)


@pytest.mark.parametrize(("hours", "level"), [(12, 82), (16, 80)])
def test_the_australian_table_holds_the_adjustment_for_long_shifts(hours, level):
    # Model code Managing noise, equivalent exposures; remembered. Without the adjustment of
    # AS/NZS 1269.1 the rows would be 83.2 and 82.0.
    adjusted = lex_8h([Spell(level, hours * 60)]) + shift_adjustment_db(hours)
    assert adjusted == pytest.approx(85, abs=0.3)
