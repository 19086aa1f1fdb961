"""Fall clearance and ladders against printed sums."""

import pytest

from safety.domain.exposures.falls import (
    ANGLE_BY_HEIGHT_DEG,
    ANGLE_BY_LENGTH_DEG,
    FallArrest,
    arrests_in_time,
    clearance_missing_m,
    ladder_angle_deg,
    ladder_foot_out_by_length_m,
    ladder_foot_out_m,
    ladder_length_m,
)


def test_a_two_metre_lanyard_needs_six_metres_eighty_five():
    # Australian heights training: 2.0 + 1.75 + 0.30 + 1.8 + 1.0; read, secondary copy
    assert FallArrest().clearance_m == pytest.approx(6.85)


def test_british_training_adds_up_to_six_metres():
    # 2 + 1.5 + 2.5 (person and margin together); read, secondary copy
    british = FallArrest(2.0, 1.5, 0.0, 2.5, 0.0)
    assert british.clearance_m == pytest.approx(6.0)


@pytest.mark.parametrize("height_m", [2.0, 2.4, 3.0, 4.0, 6.84])
def test_it_hits_the_ground_first_at_every_height_of_this_trade(height_m):
    # Follows from the sum above; computed
    assert not arrests_in_time(height_m)
    assert clearance_missing_m(height_m) == pytest.approx(6.85 - height_m)


def test_it_holds_from_the_clearance_itself():
    # Follows from the sum above; computed
    assert arrests_in_time(6.85)
    assert clearance_missing_m(6.85) == 0


def test_one_in_four_has_two_readings():
    # atan 4 and acos 0.25; OSHA's 75 1/2 degrees read at
    # https://ishn.com/articles/113229-top-10-osha-violations-ladders-construction-industry
    assert round(ANGLE_BY_HEIGHT_DEG, 3) == 75.964
    assert round(ANGLE_BY_LENGTH_DEG, 3) == 75.522


def test_a_ladder_to_three_metres():
    # Both readings, for a support 3.0 m up; computed
    assert ladder_foot_out_m(3.0) == pytest.approx(0.750)
    assert ladder_foot_out_by_length_m(3.0) == pytest.approx(0.775, abs=0.001)
    assert ladder_length_m(3.0) == pytest.approx(4.123, abs=0.001)


def test_the_angle_of_a_ladder_set_by_its_height():
    # The same triangle read backwards; computed
    assert ladder_angle_deg(3.0, 3.0923) == pytest.approx(75.964, abs=0.01)
