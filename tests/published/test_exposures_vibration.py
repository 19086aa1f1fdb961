"""Hand-arm vibration against the ready reckoner and the directive."""

import pytest

from safety.domain.exposures.vibration import (
    ACTION_VALUE_MS2,
    LIMIT_VALUE_MS2,
    Grip,
    a8,
    a8_of_points,
    minutes_to,
    points,
)


def test_three_hours_at_five_metres_per_second_squared_are_150_points():
    # HSE ready reckoner, its worked example; read:
    # http://www.hse.gov.uk/VIBRATION/hav/readyreckoner.htm
    assert points([Grip(5, 180)]) == pytest.approx(150)
    assert a8([Grip(5, 180)]) > ACTION_VALUE_MS2


@pytest.mark.parametrize(
    ("magnitude", "in_an_hour"),
    [
        (2.5, 12.5),
        (3, 18),
        (4, 32),
        (5, 50),
        (6, 72),
        (7, 98),
        (8, 128),
        (10, 200),
        (12, 288),
        (15, 450),
    ],
)
def test_points_of_an_hour(magnitude, in_an_hour):
    # HSE ready reckoner, 2 a^2 an hour; formula read in a secondary copy
    assert points([Grip(magnitude, 60)]) == pytest.approx(in_an_hour)


@pytest.mark.parametrize(("total", "value"), [(100, 2.5), (400, 5.0)])
def test_100_points_are_the_action_value_and_400_the_limit(total, value):
    # Directive 2002/44/EC, 2.5 and 5 m/s2; read on the HSE page above
    assert a8_of_points(total) == pytest.approx(value)


@pytest.mark.parametrize(
    ("magnitude", "to_action_min", "to_limit_min"),
    [(5, 120, 480), (10, 30, 120), (4, 187.5, 750), (12, 20.8, 83.3)],
)
def test_time_to_the_action_value_and_the_limit(magnitude, to_action_min, to_limit_min):
    # Follows from A(8) = a sqrt(T/8); computed
    assert minutes_to(ACTION_VALUE_MS2, magnitude) == pytest.approx(
        to_action_min, abs=0.05
    )
    assert minutes_to(LIMIT_VALUE_MS2, magnitude) == pytest.approx(
        to_limit_min, abs=0.05
    )


def test_points_and_a8_of_several_tools_agree():
    # A(8) = 5 sqrt(points / 400), the reckoner's note; computed
    grips = [Grip(9, 40), Grip(3, 90), Grip(12, 10)]
    assert a8_of_points(points(grips)) == pytest.approx(a8(grips))
