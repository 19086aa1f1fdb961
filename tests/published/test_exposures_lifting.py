"""The revised NIOSH lifting equation against its manual.

DHHS (NIOSH) 94-110, revised September 2021, doi 10.26616/NIOSHPUB94110revised092021; rules
and most worked numbers read in a retyped copy.
"""

from dataclasses import replace

import pytest

from safety.domain.exposures.lifting import (
    CUSTOMARY,
    Duration,
    HandLift,
    Hold,
    TaskLift,
    composite_index,
    frequency_multiplier,
    lifting_index,
    lifts_a_minute,
    multipliers,
    recommended_weight,
)

KG_PER_LB = 0.45359237
CM_PER_IN = 2.54

IDEAL = HandLift(reach_cm=25, height_cm=75, travel_cm=25)
# Example 4, package inspection, pp 44-46; H, F and A inferred from the multipliers
ORIGIN = HandLift(
    reach_cm=10 * CM_PER_IN,
    height_cm=22 * CM_PER_IN,
    travel_cm=37 * CM_PER_IN,
    per_minute=3,
    duration=Duration.SHORT,
    hold=Hold.FAIR,
)
DESTINATION = replace(
    ORIGIN,
    reach_cm=20 * CM_PER_IN,
    height_cm=59 * CM_PER_IN,
    origin_height_cm=22 * CM_PER_IN,
)


def test_the_ideal_lift_is_23_kilograms():
    # The load constant, metric; read
    assert recommended_weight(IDEAL) == pytest.approx(23.0)


@pytest.mark.parametrize(("twist", "am"), [(0, 1.0), (90, 0.712), (135, 0.568)])
def test_the_twist_multiplier(twist, am):
    # AM = 1 - 0.0032 A; read
    assert multipliers(replace(IDEAL, twist_deg=twist))["AM"] == pytest.approx(am)


@pytest.mark.parametrize(("lift", "pounds"), [(ORIGIN, 34.9), (DESTINATION, 15.2)])
def test_example_4_package_inspection(lift, pounds):
    # Printed 34.9 and 15.2 lb with rounded multipliers, 34.8 and 15.3 in full; read
    found = recommended_weight(lift, CUSTOMARY) / KG_PER_LB
    assert found == pytest.approx(pounds, abs=0.1)


def test_the_metric_constants_are_a_little_stricter():
    # 25/25.4 instead of 10/10 and 23 kg for 51 lb; computed from the read constants
    assert recommended_weight(ORIGIN) < recommended_weight(ORIGIN, CUSTOMARY)


def test_example_4_lifting_index_of_26_pounds():
    # Printed 0.7 and 1.7; remembered
    mass = 26 * KG_PER_LB
    assert lifting_index(mass, ORIGIN) == pytest.approx(0.75, abs=0.1)
    assert lifting_index(mass, DESTINATION) == pytest.approx(1.7, abs=0.1)


def test_the_height_of_the_origin_decides_frequency_but_not_the_hold():
    # Rule of Table 5 and of the coupling table; read
    found = multipliers(DESTINATION)
    assert found["FM"] == 0.88
    assert found["CM"] == 1.0


@pytest.mark.parametrize(("minutes", "rate"), [(8, 5.333), (5, 3.333)])
def test_lifting_in_bursts(minutes, rate):
    # p 16: 10 x 8 / 15 printed 5.33; 10 x 5 / 15 printed 3.4, which is a misprint; read
    assert lifts_a_minute(10, minutes) == pytest.approx(rate, abs=0.001)


@pytest.mark.parametrize(
    ("rate", "duration", "low", "fm"),
    [
        (0.2, Duration.SHORT, True, 1.0),
        (3, Duration.SHORT, True, 0.88),
        (12, Duration.SHORT, True, 0.37),
        (13, Duration.SHORT, True, 0.0),
        (13, Duration.SHORT, False, 0.34),
        (15, Duration.SHORT, False, 0.28),
        (16, Duration.SHORT, False, 0.0),
        (0.2, Duration.MODERATE, True, 0.95),
        (1, Duration.MODERATE, True, 0.88),
        (11, Duration.MODERATE, True, 0.0),
        (11, Duration.MODERATE, False, 0.23),
        (12, Duration.MODERATE, False, 0.21),
        (0.2, Duration.LONG, True, 0.85),
        (8, Duration.LONG, True, 0.18),
        (9, Duration.LONG, True, 0.0),
        (10, Duration.LONG, False, 0.13),
    ],
)
def test_table_5(rate, duration, low, fm):
    # Table 5; the first column and the start of the second read, the rest remembered
    lift = replace(
        IDEAL, per_minute=rate, duration=duration, height_cm=50 if low else 80
    )
    assert frequency_multiplier(lift) == pytest.approx(fm)


def three_tasks():
    """Lifts whose indices come out as in the manual's three-task example."""
    rates, wanted = (2, 1, 4), (1.6, 1.1, 0.8)
    for rate, index in zip(rates, wanted, strict=True):
        lift = replace(IDEAL, height_cm=50, per_minute=rate)
        yield TaskLift(lift, index * recommended_weight(lift))


def test_the_composite_index_of_three_tasks():
    # 2.4.5, p 28: 1.6 + 1.0(1/.88 - 1/.91) + .67(1/.70 - 1/.88) = 1.8. Formula read, the
    # numbers remembered; FILI here is STLI x FM: 1.46, 1.03, .67, printed 1.5, 1.0, .67.
    assert composite_index(three_tasks()) == pytest.approx(1.83, abs=0.02)
