import re
from dataclasses import replace
from itertools import combinations
from xml.etree import ElementTree

import pytest

from jobs.domain.dimensions import Dimensions, Structure
from jobs.domain.drawing import Space, ViewKind, draw, fitted, to_svg
from jobs.domain.drawing.pencil import Axes, chain_across, hatch
from jobs.domain.drawing.shapes import Line, Pen, Polygon, Text, extent

SVG = "{http://www.w3.org/2000/svg}"
FLAT = Structure.ATTACHED_FLAT

# From small to large, steep to flat, level to sloping.
UNUSUAL = [
    (FLAT, Dimensions(2.0, 1.6, 1.0, 2.1, overhang_m=0.1)),
    (FLAT, Dimensions(18.0, 3.2, 2.0, 2.6, slab_cross_fall_mm=300, slab_fall_mm=80)),
    (Structure.ATTACHED_GABLE, Dimensions(3.0, 2.5, 30.0, 2.2, overhang_m=0.15)),
    (Structure.FREESTANDING_GABLE, Dimensions(14.0, 9.0, 30.0, 2.7, overhang_m=0.6)),
    (
        Structure.FLAT_WITH_GABLE_BAY,
        Dimensions(
            14.0, 5.0, 3.0, 2.6, gable_bay_length_m=5.0, gable_bay_pitch_deg=25.0
        ),
    ),
    (
        Structure.DECK_WITH_ROOF,
        Dimensions(8.0, 5.0, 5.0, 2.6, deck_height_m=2.4, slab_fall_mm=500),
    ),
]


def view_of(drawing, kind):
    (view,) = (view for view in drawing.views if view.kind is kind)
    return view


def texts_of(view):
    return [shape for shape in view.shapes if isinstance(shape, Text)]


def boxes_overlap(a, b):
    (ax0, ay0, ax1, ay1), (bx0, by0, bx1, by1) = corners(a), corners(b)
    return ax0 < bx1 and bx0 < ax1 and ay0 < by1 and by0 < ay1


def corners(text):
    spots = extent(text)
    xs, ys = [x for x, _ in spots], [y for _, y in spots]
    return min(xs), min(ys), max(xs), max(ys)


@pytest.mark.parametrize("structure", Structure)
def test_a_drawing_is_told_in_words_too(structure, ordinary, sections):
    root = ElementTree.fromstring(
        to_svg(draw(structure, ordinary[structure], sections))
    )
    title, desc = root.find(f"{SVG}title"), root.find(f"{SVG}desc")
    assert title is not None
    assert desc is not None
    assert root.get("role") == "img"
    assert root.get("aria-labelledby") == f"{title.get('id')} {desc.get('id')}"
    assert f"{ordinary[structure].length_m:.2f} m long" in str(desc.text)


def test_the_plan_carries_the_sizes_that_were_typed(ordinary, sections):
    drawing = draw(FLAT, ordinary[FLAT], sections)
    figures = {text.says for text in texts_of(view_of(drawing, ViewKind.PLAN))}
    assert {"6000", "3000", "4000", "3700", "300", "falls 12 mm"} <= figures


def test_the_roof_is_drawn_to_scale(ordinary, sections):
    drawing = draw(FLAT, ordinary[FLAT], sections)
    plan = view_of(drawing, ViewKind.PLAN)
    roof = next(s for s in plan.shapes if isinstance(s, Polygon) and s.pen is Pen.ROOF)
    xs = [x for x, _ in roof.spots]
    assert max(xs) - min(xs) == pytest.approx(6000 / drawing.scale)


def test_heights_are_drawn_from_the_floor(ordinary, sections):
    drawing = draw(FLAT, ordinary[FLAT], sections, existing_eave_m=2.9)
    figures = [text.says for text in texts_of(view_of(drawing, ViewKind.FRONT))]
    assert "2380" in figures
    assert "existing eave" in figures


def test_a_freestanding_carport_has_no_house(ordinary, sections):
    structure = Structure.FREESTANDING_FLAT
    drawing = draw(structure, ordinary[structure], sections, existing_eave_m=2.9)
    assert "existing eave" not in to_svg(drawing)
    assert "House" not in to_svg(drawing)


def test_notes_say_that_it_is_not_an_engineers_drawing(ordinary, sections):
    svg = to_svg(draw(FLAT, ordinary[FLAT], sections))
    assert "Not an engineer's drawing" in svg
    assert "1: 2380, 2: 2390, 3: 2400" in svg


def test_it_prints_without_colour(ordinary, sections):
    svg = to_svg(draw(FLAT, ordinary[FLAT], sections))
    assert set(re.findall(r'(?:stroke|fill)="([^"]+)"', svg)) == {
        "currentColor",
        "none",
        "#fff",
    }


def test_two_drawings_on_a_page_keep_their_ids_apart(ordinary, sections):
    drawing = draw(FLAT, ordinary[FLAT], sections)
    one = to_svg(drawing, only=ViewKind.PLAN, name="one")
    two = to_svg(drawing, only=ViewKind.SIDE, name="two")
    ids = re.findall(r'id="([^"]+)"', one + two)
    assert len(ids) == len(set(ids)) == 4


@pytest.mark.parametrize("kind", ViewKind)
@pytest.mark.parametrize("structure", Structure)
def test_no_text_lies_on_another(structure, kind, ordinary, sections):
    drawing = draw(structure, ordinary[structure], sections, existing_eave_m=2.9)
    pairs = combinations(texts_of(view_of(drawing, kind)), 2)
    assert [(a.says, b.says) for a, b in pairs if boxes_overlap(a, b)] == []


@pytest.mark.parametrize("kind", ViewKind)
@pytest.mark.parametrize(("structure", "dims"), UNUSUAL)
def test_no_text_lies_on_another_in_unusual_sizes(structure, dims, kind, sections):
    drawing = draw(structure, dims, sections, existing_eave_m=3.2)
    pairs = combinations(texts_of(view_of(drawing, kind)), 2)
    assert [(a.says, b.says) for a, b in pairs if boxes_overlap(a, b)] == []


@pytest.mark.parametrize(("structure", "dims"), UNUSUAL)
def test_every_number_of_the_sheet_is_a_number(structure, dims, sections):
    root = ElementTree.fromstring(to_svg(draw(structure, dims, sections)))
    left, top, width, height = map(float, root.get("viewBox", "").split())
    assert 100 < width < 420
    assert 60 < height < 330
    for line in root.iter(f"{SVG}line"):
        assert left <= float(line.get("x1", "nan")) <= left + width
        assert top <= float(line.get("y2", "nan")) <= top + height


def test_a_short_step_has_its_figure_beside_the_line():
    shapes = chain_across(Axes(100), [0.0, 5.4, 5.7], 0.0, 10.0)
    figures = [shape for shape in shapes if isinstance(shape, Text)]
    assert [f.says for f in figures] == ["5400", "300"]
    assert figures[1].spot[0] > 57.0


def test_hatching_stays_inside_its_wall():
    for line in hatch((0.0, -5.0), (40.0, 0.0)):
        assert isinstance(line, Line)
        for x, y in (line.start, line.end):
            assert 0 <= x <= 40
            assert -5.0001 <= y <= 0.0001


def test_the_drawing_follows_the_dimensions(ordinary, sections):
    longer = replace(ordinary[FLAT], length_m=7.5)
    assert to_svg(draw(FLAT, longer, sections)) != to_svg(
        draw(FLAT, ordinary[FLAT], sections)
    )


@pytest.mark.parametrize("structure", list(Structure))
def test_views_for_the_print_fit_their_space_at_the_scale_they_name(
    structure, ordinary, sections
):
    space = Space(wide_mm=270, high_mm=118)
    for larger in (1.0, 1.6):
        dims = replace(ordinary[structure], length_m=larger * 6.0)
        found = fitted(structure, dims, sections, 3.2, space)
        (plan, front, side) = (ElementTree.fromstring(view) for view in found.views)
        (wide, high), *others = (size(view) for view in (plan, front, side))
        if found.stacked:
            assert wide + max(w for w, _ in others) <= space.wide_mm
            assert max(high, sum(h for _, h in others)) <= space.high_mm
        else:
            assert wide + sum(w for w, _ in others) <= space.wide_mm
            assert max(high, *(h for _, h in others)) <= space.high_mm
        assert "metres; 1:" in found.views[0]
        assert not any("metres; 1:" in view for view in found.views[1:])


def size(view):
    """Width and height in millimetres, which must be those of its own drawing."""
    wide, high = (
        float(view.get(side).removesuffix("mm")) for side in ("width", "height")
    )
    assert [wide, high] == [float(n) for n in view.get("viewBox").split()[2:]]
    return wide, high


def test_letters_of_the_print_are_eight_points_high_at_least(ordinary, sections):
    found = fitted(FLAT, ordinary[FLAT], sections, None, Space(270, 118))
    heights = re.findall(r'font-size="([\d.]+)"', "".join(found.views))
    points_per_mm = 72 / 25.4
    assert min(float(height) * points_per_mm for height in heights) >= 8
