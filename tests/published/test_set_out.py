"""Squaring a job: Pythagoras and the 3-4-5 triangle."""

import math
from pathlib import Path

import pytest

from jobs.domain.dimensions import Dimensions, Structure
from jobs.domain.layout import layout
from jobs.domain.sections import parse_sections
from jobs.domain.takeoff.decking import risers_for, stringer_length_m
from jobs.domain.takeoff.squaring import diagonal_m, squaring, three_four_five
from jobs.domain.takeoff.trade import RISERS_IN_FLIGHT_MAX

SECTIONS = Path(__file__).parents[2] / "fixtures" / "sections.yaml"


def test_diagonal_of_a_bay_of_six_by_four():
    # sqrt(6² + 4²) = sqrt 52 = 7.211 m (computed)
    assert round(diagonal_m(6.0, 4.0), 3) == 7.211


def test_diagonal_on_the_set_out_of_a_roof_of_six_by_four():
    text = SECTIONS.read_text(encoding="utf-8")
    sections = parse_sections(text, filename="sections.yaml")
    dims = Dimensions(6.0, 4.0, 3.0, 2.4, overhang_m=0.0)
    figures = squaring(layout(Structure.ATTACHED_FLAT, dims, sections))
    assert (figures[0].key, round(figures[0].value, 3)) == ("diagonal", 7.211)


@pytest.mark.parametrize(
    ("along", "out", "triangle"),
    [
        (6.0, 4.0, (3.75, 5.0, 6.25)),
        (4.0, 3.0, (3.0, 4.0, 5.0)),
        (12.0, 9.5, (9.0, 12.0, 15.0)),
        (3.0, 2.4, (2.25, 3.0, 3.75)),
    ],
)
def test_three_four_five_is_right_angled_and_fits(along, out, triangle):
    # 3² + 4² = 5², any multiple of it
    short, long, across = three_four_five(along, out)
    assert (short, long, across) == triangle
    assert math.hypot(short, long) == pytest.approx(across)


@pytest.mark.parametrize(("rise", "risers"), [(0.19, 1), (0.2, 2), (1.5, 8), (1.52, 8)])
def test_no_riser_is_above_190_mm(rise, risers):
    # NCC 2022 Housing Provisions 11.2.2, risers 115 to 190 mm (remembered)
    assert risers_for(rise) == risers


@pytest.mark.parametrize(("rise", "lands"), [(18 * 0.19, False), (3.43, True)])
def test_no_flight_has_more_than_18_risers(rise, lands):
    # NCC 2022 Housing Provisions 11.2.2, at most 18 risers in a flight (remembered)
    assert (risers_for(rise) > RISERS_IN_FLIGHT_MAX) is lands


def test_stringer_is_the_slope_over_its_goings():
    # 8 risers, 7 goings of 250 mm: sqrt(1.5² + 1.75²) (computed)
    assert stringer_length_m(1.5) == pytest.approx(2.305, abs=5e-4)
