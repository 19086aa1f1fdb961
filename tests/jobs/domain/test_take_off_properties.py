import math
from dataclasses import replace
from pathlib import Path

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from jobs.domain.dimensions import Dimensions, Structure
from jobs.domain.layout import layout
from jobs.domain.sections import Role, parse_sections
from jobs.domain.takeoff import check_dimensions, take_off
from jobs.domain.takeoff.check import ranges_for

_TABLE = Path(__file__).parents[3] / "fixtures" / "sections.yaml"
SECTIONS = parse_sections(_TABLE.read_text(encoding="utf-8"), filename="sections.yaml")
_SAYS_TOO_LONG = {
    "beam": "is sold up to",
    "post": "is sold up to",
    "stringer": "needs a landing",
}
_ROLES = {
    "beam_section": Role.BEAM,
    "rafter_section": Role.RAFTER,
    "post_section": Role.POST,
    "sheet_profile": Role.SHEET,
}


def in_range(low, high):
    return st.floats(low, high, allow_nan=False).map(lambda value: round(value, 3))


@st.composite
def jobs(draw, structures=tuple(Structure)):
    """A structure and dimensions over the whole range that the check allows."""
    structure = draw(st.sampled_from(structures))
    values = {
        field: draw(in_range(allowed.low, allowed.high))
        for field, allowed in ranges_for(structure).items()
    }
    values["anchors_per_post"] = int(values["anchors_per_post"])
    values["on_footings"] = draw(st.booleans())
    for field, role in _ROLES.items():
        keys = sorted(key for key, s in SECTIONS.items() if s.role is role)
        values[field] = draw(st.sampled_from(keys))
    dims = Dimensions(**values)
    assume(not check_dimensions(structure, dims, SECTIONS))
    return structure, dims


def taken_off(job, site):
    structure, dims = job
    return take_off(structure, dims, site, SECTIONS)


@settings(max_examples=40)
@given(job=jobs())
def test_no_figure_is_negative_or_not_a_number(site, job):
    taken = taken_off(job, site)
    figures = [q.value for q in taken.quantities.values()]
    figures += [f for p in taken.pieces for f in (p.count, p.length_m, p.mass_kg)]
    assert all(math.isfinite(f) and f >= 0 for f in figures)
    assert all(math.isfinite(figure.value) for figure in taken.set_out)


@settings(max_examples=40)
@given(job=jobs())
def test_no_piece_is_longer_than_its_section_is_sold_unless_told(site, job):
    taken = taken_off(job, site)
    for piece in taken.pieces:
        longest = SECTIONS[piece.section].stock_max_m if piece.section else math.inf
        too_long = piece.length_m > longest + 0.001
        says = _SAYS_TOO_LONG.get(piece.key)
        told = says is not None and says in str(taken.warnings)
        assert told or not too_long


@settings(max_examples=40)
@given(job=jobs(), more=in_range(0.0, 6.0))
def test_a_longer_roof_never_takes_fewer_sheets_or_less_mass(site, job, more):
    structure, dims = job
    longer = replace(dims, length_m=dims.length_m + more)
    assume(not check_dimensions(structure, longer, SECTIONS))
    short, long = (take_off(structure, d, site, SECTIONS) for d in (dims, longer))
    for key in ("sheet_count", "rafter_count", "post_count", "house_hole_count"):
        assert long.value(key) >= short.value(key), key
    for key in ("sheet_mass", "gutter_length", "roof_slope_area"):
        assert long.value(key) >= short.value(key) - 0.01, key


@settings(max_examples=40)
@given(job=jobs())
def test_posts_reach_from_their_floor_to_a_beam(job):
    structure, dims = job
    shape = layout(structure, dims, SECTIONS)
    beams = {round(b.member.start.z_m, 6) for b in shape.beams}
    assert {round(post.top_z_m, 6) for post in shape.posts} <= beams
    assert all(post.standing_m > 0.8 for post in shape.posts)


@settings(max_examples=40)
@given(job=jobs())
def test_no_member_is_further_apart_than_asked(job):
    structure, dims = job
    shape = layout(structure, dims, SECTIONS)
    for plane in shape.planes:
        rafters = [m for m in shape.rafters if m.name == plane.name]
        spacing = plane.eave_m / (len(rafters) - 1)
        assert spacing <= dims.rafter_spacing_max_m + 1e-9
        assert all(m.length_m == pytest.approx(plane.slope_m) for m in rafters)
    assert all(
        bay <= dims.post_spacing_max_m + 1e-9
        for beam in shape.beams
        for bay in beam.bays_m
        if "bay beam" not in beam.member.name
    )


@settings(max_examples=40)
@given(job=jobs())
def test_the_same_job_twice_gives_the_same_take_off(site, job):
    assert taken_off(job, site) == taken_off(job, site)
