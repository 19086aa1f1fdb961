"""Rise and rafter per metre of run, against the handbook table.

The usual roofing handbook table is the same formula: rise = 1000 tan p, rafter =
1000 / cos p, in millimetres to one decimal (computed).
"""

import pytest

from jobs.domain.layout import Falls, Plane

# pitch in degrees: rise and rafter in mm for each metre of run
TABLE = {
    2: (34.9, 1000.6),
    3: (52.4, 1001.4),
    5: (87.5, 1003.8),
    7.5: (131.7, 1008.6),
    10: (176.3, 1015.4),
    15: (267.9, 1035.3),
    20: (364.0, 1064.2),
    22.5: (414.2, 1082.4),
    25: (466.3, 1103.4),
    30: (577.4, 1154.7),
    35: (700.2, 1220.8),
    40: (839.1, 1305.4),
    45: (1000.0, 1414.2),
}


@pytest.mark.parametrize("falls", Falls)
@pytest.mark.parametrize(("pitch", "printed"), TABLE.items())
def test_rise_and_rafter_of_one_metre_of_run(pitch, printed, falls):
    plane = Plane("roof", 0.0, 1.0, 0.0, 1.0, falls, pitch, low_z_m=2.4)
    rise = (plane.at(0.5, 0.0).z_m - plane.at(0.5, 1.0).z_m) * 1000
    assert (round(rise, 1), round(plane.slope_m * 1000, 1)) == printed
