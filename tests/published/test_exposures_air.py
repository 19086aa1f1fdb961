"""Averages of what is breathed, against the examples of the regulation."""

import pytest

from safety.domain.exposures.air import Breathed, average_8h, mixture, past_half


def test_the_average_of_the_regulation_s_example():
    # 29 CFR 1910.1000(d)(1)(ii): (2x150 + 2x75 + 4x50) / 8 = 81.25 ppm; read:
    # https://up.codes/s/computation-formulae
    spells = [Breathed(150, 2), Breathed(75, 2), Breathed(50, 4)]
    assert average_8h(spells) == pytest.approx(81.25)


def test_the_mixture_of_the_regulation_s_example():
    # 29 CFR 1910.1000(d)(2)(ii): 500/1000 + 45/200 + 40/200 = 0.925; read, as above
    assert mixture([(500, 1000), (45, 200), (40, 200)]) == pytest.approx(0.925)


@pytest.mark.parametrize(
    ("average", "high_risk"), [(0.024, False), (0.025, False), (0.026, True)]
)
def test_half_the_silica_standard_divides_high_risk_work(average, high_risk):
    # WHS Regulations 2011 (Cth) r 529CA, half of 0.05 mg/m3; read in a law mirror:
    # https://zoelaw.ai/legislation/work-health-and-safety-regulations-2011/sections/529C
    assert past_half(average, 0.05) is high_risk
