from pathlib import Path

import pytest

from jobs.domain.dimensions import Dimensions, Structure
from jobs.domain.sections import parse_sections
from jobs.domain.site_facts import Access, ExistingRoof, Ground, SiteFacts
from jobs.domain.takeoff import take_off

FIXTURES = Path(__file__).parents[3] / "fixtures"

# One ordinary job of each kind.
ORDINARY = {
    Structure.ATTACHED_FLAT: Dimensions(
        6.0, 4.0, 3.0, 2.4, slab_fall_mm=40, slab_cross_fall_mm=20
    ),
    Structure.ATTACHED_GABLE: Dimensions(6.0, 4.5, 20.0, 2.4),
    Structure.FLAT_WITH_GABLE_BAY: Dimensions(
        9.0, 4.0, 3.0, 2.4, gable_bay_length_m=3.5, gable_bay_pitch_deg=20.0
    ),
    Structure.FREESTANDING_FLAT: Dimensions(6.0, 5.5, 3.0, 2.4, slab_fall_mm=60),
    Structure.FREESTANDING_GABLE: Dimensions(
        6.2, 6.0, 22.5, 2.4, on_footings=True, slab_cross_fall_mm=80
    ),
    Structure.DECK_WITH_ROOF: Dimensions(
        6.0, 4.0, 5.0, 2.5, deck_height_m=1.2, slab_fall_mm=200
    ),
}


@pytest.fixture(scope="session")
def sections():
    text = (FIXTURES / "sections.yaml").read_text(encoding="utf-8")
    return parse_sections(text, filename="sections.yaml")


@pytest.fixture(scope="session")
def site():
    """An ordinary back yard: slab, side gate, eave at 3.0 m."""
    return SiteFacts(
        existing_roof=ExistingRoof.CONCRETE_TILE,
        existing_eave_height_m=3.0,
        building_year=1996,
        overhead_line=False,
        overhead_line_distance_m=None,
        overhead_line_kv=None,
        ground=Ground.CONCRETE_SLAB,
        slab_slope_pct=1.0,
        access=Access.TRUCK_TO_SLAB,
        carry_distance_m=15.0,
        neighbour_distance_m=1.5,
        near_traffic=False,
        occupied=True,
        children_or_pets=False,
        buried_services_known=True,
        power_on_site=True,
        water_on_site=True,
        fascia_is_metal=True,
        state="au-nsw",
        yard_distance_km=18.0,
        drive_minutes=25,
    )


@pytest.fixture(scope="session")
def ordinary():
    """Dimensions of an ordinary job of each kind."""
    return ORDINARY


@pytest.fixture(scope="session")
def taken_off(sections, site):
    """The take-off of an ordinary job of a kind."""
    return {
        structure: take_off(structure, dims, site, sections)
        for structure, dims in ORDINARY.items()
    }
