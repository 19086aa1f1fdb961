"""Gutters and downpipes against the National Construction Code of Australia.

NCC 2019 Volume Two 3.5.3 (NCC 2022 Housing Provisions Part 7.4), read:
https://ncc.abcb.gov.au/editions/2019/ncc-2019-volume-two/part-35-roof-and-wall-cladding/part-353-gutters-and-downpipes
"""

import pytest

from jobs.domain.takeoff.rainwater import brackets_for, downpipes_for, gutter_fall_mm


@pytest.mark.parametrize(("length", "fall"), [(6.0, 12.0), (12.0, 24.0)])
def test_eaves_gutter_falls_one_in_five_hundred(length, fall):
    # eaves gutter at least 1:500 (read); in numbers 6 m 12 mm, 12 m 24 mm (computed)
    assert gutter_fall_mm(length) == pytest.approx(fall)


def test_box_gutter_falls_one_in_a_hundred():
    # box gutter at least 1:100 (read)
    assert gutter_fall_mm(4.0, one_in=100) == pytest.approx(40.0)


@pytest.mark.parametrize(
    ("length", "pipes"), [(3.0, 1), (12.0, 1), (12.01, 2), (24.0, 2), (24.5, 3)]
)
def test_a_downpipe_serves_at_most_twelve_metres(length, pipes):
    # read, https://abcb.gov.au/Connect/Articles/2016/11/11/Getting-your-mind-into-the-gutter-and-whats-up-with-downpipes
    assert downpipes_for(length) == pipes


@pytest.mark.parametrize(
    ("length", "brackets"), [(1.2, 2), (1.21, 3), (6.0, 6), (6.1, 7)]
)
def test_brackets_at_stop_ends_and_at_most_1200_mm(length, brackets):
    # stop ends and at most 1.2 m centres (secondary copy)
    assert brackets_for(length) == brackets
