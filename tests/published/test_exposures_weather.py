"""Heat index, sun and wind against printed tables."""

import pytest

from safety.domain.exposures.heat import (
    HeatBand,
    Load,
    heat_band,
    heat_index_f,
    niosh_limit_degc,
    vapour_pressure_hpa,
    wbgt_estimate_degc,
    wbgt_outdoors_degc,
    work_rest,
)
from safety.domain.exposures.uv import UvBand, band, needs_protection
from safety.domain.exposures.wind import (
    BEAUFORT_FROM_MS,
    beaufort,
    pressure_pa,
    sheet_force_n,
)


@pytest.mark.parametrize(
    ("air_f", "humidity", "printed"),
    [
        (80, 40, 80),
        (88, 40, 88),
        (90, 40, 91),
        (96, 40, 101),
        (98, 40, 105),
        (106, 40, 124),
        (108, 40, 130),
        (80, 65, 82),
        (84, 65, 89),
        (86, 65, 93),
        (80, 100, 87),
        (82, 100, 95),
        (86, 100, 112),
        (90, 100, 132),
    ],
)
def test_the_chart_of_the_weather_service(air_f, humidity, printed):
    # US National Weather Service heat index chart, as a test table in the public repository
    # malexer/meteocalc; read. The chart leaves the adjustments out.
    assert round(heat_index_f(air_f, humidity, adjusted=False)) == printed


@pytest.mark.parametrize(("air_f", "index"), [(80, 89.29), (82, 96.04)])
def test_the_official_adjustment_for_damp_air_differs_from_the_chart(air_f, index):
    # Weather Prediction Center, heat index equation; read:
    # https://www.wpc.ncep.noaa.gov/html/heatindex_equation.shtml
    assert heat_index_f(air_f, 100) == pytest.approx(index, abs=0.01)


@pytest.mark.parametrize(
    ("index_f", "name"),
    [
        (79, HeatBand.NONE),
        (80, HeatBand.CAUTION),
        (90, HeatBand.EXTREME_CAUTION),
        (102, HeatBand.EXTREME_CAUTION),
        (103, HeatBand.DANGER),
        (124, HeatBand.DANGER),
        (125, HeatBand.EXTREME_DANGER),
    ],
)
def test_bands_of_the_heat_index(index_f, name):
    # US National Weather Service heat index chart; remembered
    assert heat_band((index_f - 32) * 5 / 9) is name


def test_a_wet_bulb_globe_temperature():
    # 0.7 Tnwb + 0.2 Tg + 0.1 Tdb for 25, 40, 32; remembered
    assert wbgt_outdoors_degc(25, 40, 32) == pytest.approx(28.7)


@pytest.mark.parametrize(
    ("air", "hpa"), [(15, 17.06), (20, 23.39), (25, 31.69), (30, 42.47), (35, 56.28)]
)
def test_the_vapour_of_saturated_air(air, hpa):
    # Saturation pressure of water in steam tables; remembered
    assert vapour_pressure_hpa(air, 100) == pytest.approx(hpa, rel=0.006)


@pytest.mark.parametrize(
    ("air", "humidity", "wbgt"),
    [(20, 50, 19.9), (25, 60, 25.6), (30, 50, 29.3), (35, 40, 32.6), (40, 20, 32.4)],
)
def test_a_wet_bulb_globe_temperature_without_a_meter(air, humidity, wbgt):
    # 0.567 Ta + 0.393 e + 3.94, Australian Bureau of Meteorology, about the approximation
    # to the WBGT (https://www.bom.gov.au/info/thermal_stress/); the formula and what it
    # assumes read in secondary copies (documentation of the CRAN package varunayan, a
    # weather office's code), the values worked by hand with e from steam tables
    assert wbgt_estimate_degc(air, humidity) == pytest.approx(wbgt, abs=0.06)


@pytest.mark.parametrize(("used", "limit"), [(True, 28.2), (False, 25.0)])
def test_niosh_limits_at_300_watts(used, limit):
    # NIOSH 2016-106; remembered
    assert niosh_limit_degc(300, used_to_heat=used) == pytest.approx(limit, abs=0.05)


@pytest.mark.parametrize(
    ("load", "used", "new"),
    [
        (Load.LIGHT, (31.0, 31.0, 32.0, 32.5), (28.0, 28.5, 29.5, 30.0)),
        (Load.MODERATE, (28.0, 29.0, 30.0, 31.5), (25.0, 26.0, 27.0, 29.0)),
        (Load.HEAVY, (None, 27.5, 29.0, 30.5), (None, 24.0, 25.5, 28.0)),
        (Load.VERY_HEAVY, (None, None, 28.0, 30.0), (None, None, 24.5, 27.0)),
    ],
)
def test_work_and_rest_by_the_screening_values(load, used, new):
    # ACGIH TLV and action limit, by share of the hour worked; remembered
    for limits, used_to_heat in ((used, True), (new, False)):
        for most, limit in zip((100, 75, 50, 25), limits, strict=True):
            if limit is None:
                continue
            at = work_rest(limit, load, used_to_heat=used_to_heat)
            above = work_rest(limit + 0.1, load, used_to_heat=used_to_heat)
            assert at is not None
            assert at.most_pct >= most
            assert above is None or above.most_pct < most


@pytest.mark.parametrize(
    ("index", "name"),
    [
        (0, UvBand.LOW),
        (2.4, UvBand.LOW),
        (2.5, UvBand.MODERATE),
        (5.4, UvBand.MODERATE),
        (6, UvBand.HIGH),
        (7, UvBand.HIGH),
        (8, UvBand.VERY_HIGH),
        (10, UvBand.VERY_HIGH),
        (11, UvBand.EXTREME),
        (15, UvBand.EXTREME),
    ],
)
def test_bands_of_the_uv_index(index, name):
    # WHO and WMO bands; read: https://www.canada.ca/en/environment-climate-change/services/
    # weather-health/uv-index-sun-safety/how-to-use.html
    assert band(index) is name
    assert needs_protection(index) is (name is not UvBand.LOW)


@pytest.mark.parametrize(
    ("speed", "force"),
    [
        (0.2, 0),
        (0.3, 1),
        (1.5, 1),
        (3.3, 2),
        (5.4, 3),
        (5.5, 4),
        (7.9, 4),
        (8.0, 5),
        (10.7, 5),
        (10.8, 6),
        (13.8, 6),
        (13.9, 7),
        (20.7, 8),
        (24.4, 9),
        (28.4, 10),
        (32.6, 11),
        (32.7, 12),
    ],
)
def test_the_beaufort_scale_in_metres_per_second(speed, force):
    # A national weather bureau's table; read, secondary copy
    assert beaufort(speed) == force


@pytest.mark.parametrize("force", range(3, 11))
def test_the_scale_follows_its_law(force):
    # v = 0.836 B^1.5 lies in the band of force B; remembered
    speed = 0.836 * force**1.5
    upper = BEAUFORT_FROM_MS[force + 1]
    assert BEAUFORT_FROM_MS[force] <= speed < upper


@pytest.mark.parametrize(
    ("speed", "pascal"),
    [
        (5.5, 18.15),
        (8.0, 38.4),
        (10.8, 69.98),
        (13.9, 115.9),
        (17.2, 177.5),
        (20, 240),
        (45, 1215),
    ],
)
def test_the_pressure_of_the_wind(speed, pascal):
    # q = 0.5 rho v^2 with 1.2 kg/m3 as AS/NZS 1170.2 takes it; computed
    assert pressure_pa(speed) == pytest.approx(pascal, rel=1e-3)


@pytest.mark.parametrize(("speed", "newton"), [(8.0, 175), (10.8, 319), (13.9, 529)])
def test_the_push_on_a_sheet_of_six_metres(speed, newton):
    # q x 6.0 x 0.76 m; computed
    assert sheet_force_n(speed, 6.0, 0.76) == pytest.approx(newton, abs=0.6)
