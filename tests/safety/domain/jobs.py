"""Small jobs made by hand, for tests of the hazard engine."""

from dataclasses import asdict, replace

from jobs.domain.dimensions import Dimensions
from jobs.domain.facts import JobFacts, Lift, TaskFacts, ToolUse
from jobs.domain.site_facts import Access, ExistingRoof, Ground, SiteFacts
from jobs.domain.takeoff.keys import QUANTITIES

SITE = SiteFacts(
    existing_roof=ExistingRoof.STEEL_SHEET,
    existing_eave_height_m=2.5,
    building_year=2004,
    overhead_line=False,
    overhead_line_distance_m=None,
    overhead_line_kv=None,
    ground=Ground.CONCRETE_SLAB,
    slab_slope_pct=1.0,
    access=Access.SIDE_GATE,
    carry_distance_m=12.0,
    neighbour_distance_m=6.0,
    near_traffic=False,
    occupied=True,
    children_or_pets=False,
    buried_services_known=True,
    power_on_site=True,
    water_on_site=True,
    fascia_is_metal=False,
    state="au-nsw",
    yard_distance_km=14.0,
    drive_minutes=25,
)
DIMENSIONS = Dimensions(
    length_m=6.0, projection_m=4.0, pitch_deg=3.0, clear_height_m=2.4
)
QUANTITY = {
    **dict.fromkeys(QUANTITIES, 0.0),
    "sheet_count": 8.0,
    "sheet_length": 4.3,
    "sheet_total_length": 34.4,
    "sheet_mass": 115.0,
    "roof_plan_area": 25.8,
    "roof_screw_count": 160.0,
    "post_count": 3.0,
    "post_length_max": 2.5,
    "slab_hole_count": 12.0,
    "house_hole_count": 16.0,
    "height_eave": 2.45,
    "height_ridge": 2.7,
    "height_house": 2.7,
    "exposed_edge_length": 14.6,
    "exposed_edge_height": 2.7,
    "gutter_length": 6.0,
    "heaviest_piece_mass": 43.0,
    "longest_piece_length": 6.0,
    "load_mass": 420.0,
}


def task(kind: str, *, position: int = 1, height: float = 0.0, **changes) -> TaskFacts:
    """One step of that kind, keyed by it, with nothing lifted and no tools."""
    made = TaskFacts(
        key=kind,
        kind=kind,
        name=kind.replace("_", " ").capitalize(),
        position=position,
        after=(),
        crew_min=2,
        crew_max=4,
        person_minutes=240.0,
        work_height_m=height,
        quantity=1.0,
        quantity_unit="each",
        tools=(),
        lifts=(),
        tickets=(),
        materials=(),
        hold_point=None,
        wind_limit_ms=None,
        stops_in_rain=False,
    )
    return replace(made, **changes)


def lift(piece: str, mass_kg: float, **changes) -> Lift:
    """Two people lift one piece by hand from the ground to 2.4 m."""
    made = Lift(
        piece=piece,
        name=piece.capitalize(),
        count=1,
        mass_kg=mass_kg,
        length_m=6.0,
        people=2,
        how="by_hand",
        from_height_m=0.0,
        to_height_m=2.4,
    )
    return replace(made, **changes)


def job(*tasks: TaskFacts, site=SITE, structure="attached_flat", **changes) -> JobFacts:
    """A job with these steps, by default an attached flat roof of 6 by 4 m."""
    dimensions = asdict(DIMENSIONS) | changes.pop("dimensions", {})
    quantities = QUANTITY | changes.pop("quantities", {})
    assert not changes, changes
    return JobFacts(
        structure=structure,
        dimensions=dimensions,
        quantities=quantities,
        site=asdict(site),
        tasks=tasks,
    )


PATIO_TASKS = (
    task("site_setup", position=1),
    task("receive_delivery", position=2, lifts=(lift("sheet", 14.4, length_m=4.3),)),
    task("remove_existing", position=3, height=2.5, tools=(ToolUse("ladder", 0.0),)),
    task(
        "fix_brackets",
        position=4,
        height=2.5,
        tools=(ToolUse("impact_driver", 30.0), ToolUse("ladder", 0.0)),
    ),
    task("drill_slab", position=5, tools=(ToolUse("rotary_hammer", 36.0),)),
    task("stand_posts", position=6, lifts=(lift("post", 13.5, length_m=2.5),)),
    task(
        "cut_steel",
        position=7,
        tools=(ToolUse("angle_grinder", 18.0), ToolUse("cold_saw", 40.0)),
    ),
    task(
        "lift_beams",
        position=8,
        height=1.2,
        tools=(ToolUse("props", 0.0), ToolUse("trestles", 0.0)),
        lifts=(lift("beam", 43.0, how="props"),),
    ),
    task(
        "lay_sheets",
        position=9,
        height=2.7,
        tools=(ToolUse("screw_gun", 64.0), ToolUse("ladder", 0.0)),
        lifts=(lift("sheet", 14.4, length_m=4.3, count=8, to_height_m=2.7),),
        wind_limit_ms=8.0,
        stops_in_rain=True,
    ),
    task("clean_swarf", position=10, height=2.7),
    task("handover", position=11),
)
PATIO = job(*PATIO_TASKS)
