"""Readings in, difference and tolerance out. No database."""

import pytest

from jobs.domain.methods import HoldPointSpec
from jobs.domain.refusals import Refused
from safety.domain.measuring import Expected, Kind, measured, readings, refuse_slips


def point(measure, tolerance=5.0):
    return HoldPointSpec("p", "says", measure, tolerance)


def diagonals(a, b, **more):
    values = {"diagonal_a_mm": a, "diagonal_b_mm": b}
    return measured(point("diagonals"), values, **more)


@pytest.mark.parametrize(
    ("a", "b", "passed"),
    [(7211, 7214, True), (7211, 7216, True), (7216, 7211, True), (7211, 7217, False)],
)
def test_diagonals_pass_up_to_the_tolerance(a, b, passed):
    result = diagonals(a, b)
    assert (result.passed, result.difference_mm) == (passed, abs(a - b))


def test_equal_diagonals_of_the_wrong_rectangle_are_pointed_out():
    result = diagonals(7300, 7302, expected=[Expected("diagonal", "Both", 7211)])
    assert result.passed
    assert "7211 mm" in result.aside
    assert (
        diagonals(7211, 7212, expected=[Expected("diagonal", "Both", 7211)]).aside == ""
    )


@pytest.mark.parametrize(
    ("a", "b", "wrong"),
    [
        (973.1, 973.3, ["Diagonal A", "Diagonal B"]),
        (9731, 97310, ["Diagonal B"]),
        (8757, 9731, ["Diagonal A"]),
    ],
)
def test_a_diagonal_more_than_a_tenth_off_is_a_slip(a, b, wrong):
    due = [Expected("diagonal", "Both diagonals", 9731)]
    values = {"diagonal_a_mm": a, "diagonal_b_mm": b}
    with pytest.raises(Refused) as refused:
        refuse_slips(point("diagonals"), values, due)
    said = refused.value.reasons
    assert [reason.split(" of ")[0] for reason in said] == wrong
    assert all("9731 mm is due" in reason for reason in said)


@pytest.mark.parametrize(
    ("measure", "values", "due"),
    [
        ("diagonals", {"diagonal_a_mm": 9000, "diagonal_b_mm": 11000}, 10000),
        ("diagonals", {"diagonal_a_mm": 973, "diagonal_b_mm": 973}, None),
        ("fall", {"fall_mm": 20}, 5),
        ("plumb", {"lean_mm": 20}, 1),
    ],
)
def test_what_may_be_right_is_judged(measure, values, due):
    expected = [Expected("fall", "Due", due)] if due else []
    refuse_slips(point(measure), values, expected)


@pytest.mark.parametrize(
    ("fall", "passed"), [(14, True), (11, True), (10, False), (-14, False)]
)
def test_a_gutter_falls_as_much_as_it_should(fall, passed):
    wanted = [Expected("gutter_fall_1", "Front gutter", 14.0)]
    result = measured(point("fall", 3.0), {"gutter_fall_1_mm": fall}, expected=wanted)
    assert result.passed is passed


def test_the_limit_itself_passes_whatever_the_fractions():
    wanted = [Expected("gutter_fall_1", "Front gutter", 37.0)]
    result = measured(point("fall", 3.0), {"gutter_fall_1_mm": 34}, expected=wanted)
    assert (result.passed, result.difference_mm) == (True, 3)
    assert diagonals(7211.1, 7216.1).passed
    assert diagonals(9731.3, 9726.3).difference_mm == 5


def test_every_gutter_is_read():
    wanted = [Expected(f"gutter_fall_{n}", f"Gutter {n}", 10.0) for n in (1, 2)]
    assert len(readings(Kind.FALL, wanted)) == 2
    result = measured(
        point("fall", 3.0),
        {"gutter_fall_1_mm": 12, "gutter_fall_2_mm": 2},
        expected=wanted,
    )
    assert (result.passed, result.difference_mm) == (False, 8)


@pytest.mark.parametrize(("lean", "passed"), [(0, True), (5, True), (5.5, False)])
def test_posts_are_plumb_up_to_the_tolerance(lean, passed):
    assert measured(point("plumb"), {"lean_mm": lean}).passed is passed


def test_a_look_passes_when_the_person_says_so():
    assert measured(point("look", None), {}, looks_right=True).passed
    assert not measured(point("look", None), {}).passed


@pytest.mark.parametrize(
    "values",
    [{}, {"diagonal_a_mm": 7211}, {"diagonal_a_mm": 7.2, "diagonal_b_mm": 7.2}],
)
def test_readings_that_cannot_be_right_are_asked_again(values):
    with pytest.raises(Refused, match="millimetres"):
        measured(point("diagonals"), values)
