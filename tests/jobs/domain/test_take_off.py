from dataclasses import replace

import pytest

from jobs.domain.dimensions import TYPICAL_SECTIONS, Dimensions, Frame, Structure
from jobs.domain.refusals import Refused
from jobs.domain.site_facts import Access, ExistingRoof
from jobs.domain.takeoff import QUANTITY_KEYS, check_dimensions, take_off

FLAT = Structure.ATTACHED_FLAT


def set_out(taken, key):
    (found,) = [figure for figure in taken.set_out if figure.key == key]
    return found


@pytest.mark.parametrize("structure", Structure)
def test_every_take_off_has_every_quantity_with_its_working(taken_off, structure):
    quantities = taken_off[structure].quantities
    assert set(quantities) == QUANTITY_KEYS
    assert all(q.how.endswith(".") for q in quantities.values())


def test_sheets_show_their_working(taken_off):
    sheets = taken_off[FLAT].quantities["sheet_count"]
    assert sheets.value == 8
    assert sheets.how == "Roof: 6.00 m / 0.76 m cover = 7.9, so 8 sheets."


def test_a_roof_that_fits_a_whole_number_of_sheets_needs_no_more(sections, site):
    dims = Dimensions(6.08, 4.0, 3.0, 2.4)
    taken = take_off(FLAT, dims, site, sections)
    assert taken.value("sheet_count") == 8
    assert taken.value("sheet_cut_length") == 0


def test_rafters_are_counted_by_spaces_and_measured_on_the_slope(taken_off):
    taken = taken_off[Structure.ATTACHED_GABLE]
    assert taken.value("rafter_count") == 12
    assert taken.value("rafter_length") == pytest.approx(3.0 / 0.9396926, abs=1e-4)


def test_each_post_is_cut_to_its_own_floor(taken_off):
    taken = taken_off[FLAT]
    lengths = [set_out(taken, f"post_cut_length_{n}").value for n in (1, 2, 3)]
    assert lengths == pytest.approx([2.38, 2.39, 2.40])
    assert "its floor -50 mm" in set_out(taken, "post_cut_length_2").how


def test_footings_lengthen_posts_and_replace_anchors(ordinary, site, sections):
    dims = replace(ordinary[FLAT], on_footings=True)
    taken = take_off(FLAT, dims, site, sections)
    assert set_out(taken, "post_cut_length_3").value == pytest.approx(2.90)
    assert taken.value("slab_hole_count") == 0
    assert taken.value("footing_count") == 3
    assert taken.value("concrete_volume") == pytest.approx(3 * 0.0754, abs=1e-3)


def test_anchors_are_drilled_in_the_slab(taken_off):
    assert taken_off[FLAT].value("slab_hole_count") == 12
    assert taken_off[Structure.FREESTANDING_GABLE].value("slab_hole_count") == 0


def test_a_long_beam_is_joined_only_over_a_post(sections, site):
    dims = Dimensions(14.0, 4.0, 3.0, 2.4)
    taken = take_off(FLAT, dims, site, sections)
    lengths = [(p.count, p.length_m) for p in taken.pieces if p.key == "beam"]
    assert lengths == [(2, 7.0)]


def test_a_long_sheet_comes_in_two_lapped_lengths(sections, site):
    dims = Dimensions(6.0, 9.0, 5.0, 2.4, sheet_profile="sheet_polycarbonate")
    taken = take_off(FLAT, dims, site, sections)
    assert taken.value("sheet_count") == 16
    assert taken.value("sheet_length") == pytest.approx((9.034 + 0.15) / 2, abs=1e-3)


def test_a_timber_frame_is_cut_as_timber(ordinary, site, sections):
    timber = replace(ordinary[FLAT], **TYPICAL_SECTIONS[Frame.TIMBER])
    taken = take_off(FLAT, timber, site, sections)
    assert taken.value("steel_cut_count") == 0
    assert taken.value("timber_cut_count") == 19
    assert taken.warnings[-1].startswith("The frame is of steel, but these are not:")
    named = replace(timber, frame=Frame.TIMBER)
    assert take_off(FLAT, named, site, sections).warnings == ()


def test_a_gable_frame_is_two_rafters_and_a_tie(taken_off):
    taken = taken_off[Structure.ATTACHED_GABLE]
    (frame,), (tie,) = taken.lifted("gable_frame"), taken.lifted("tie")
    (rafter,) = taken.lifted("rafter")
    assert frame.mass_kg == pytest.approx(2 * rafter.mass_kg + tie.mass_kg)
    assert taken.value("heaviest_lift_mass") == frame.mass_kg
    assert taken.lifted("loose_rafter")[0].count == rafter.count - 2 * frame.count


def test_the_load_weighs_what_its_lines_weigh(taken_off):
    for taken in taken_off.values():
        total = sum(p.count * p.mass_kg for p in taken.pieces)
        assert taken.value("load_mass") == pytest.approx(total)


def test_a_gable_bay_has_box_gutters_with_their_own_fall(taken_off):
    taken = taken_off[Structure.FLAT_WITH_GABLE_BAY]
    assert taken.value("box_gutter_length") == pytest.approx(2 * 3.7)
    assert set_out(taken, "gutter_fall_3").value == pytest.approx(37.0)
    assert taken.value("downpipe_count") == 4


def test_a_deck_is_counted_from_its_sizes(taken_off):
    taken = taken_off[Structure.DECK_WITH_ROOF]
    assert taken.value("deck_area") == pytest.approx(6.0 * 3.7)
    assert taken.value("stair_riser_count") == 8  # 1.4 m at most 0.19 m each
    assert taken.value("guardrail_length") == pytest.approx(6.0 + 7.4 - 1.0)
    assert taken.value("height_deck") == pytest.approx(1.4)


def test_edges_say_how_high_and_how_long(taken_off):
    taken = taken_off[Structure.FREESTANDING_FLAT]
    assert taken.value("edge_house_length") == 6.0
    assert taken.value("edge_house_height") > taken.value("edge_front_height") > 2.4
    assert taken_off[FLAT].value("edge_house_length") == 0


@pytest.mark.parametrize(
    ("dims", "site_change", "says"),
    [
        ({"pitch_deg": 1.0}, {}, "The pitch of 1° is too low for trapezoidal steel"),
        ({}, {"existing_eave_height_m": 2.5}, "it cannot hang on the fascia"),
        ({}, {"existing_eave_height_m": None}, "height of the existing eave is not"),
        ({"clear_height_m": 2.0}, {}, "Headroom at post 1 is 1.98 m, less than"),
        (
            {"overhang_m": 0.9, "pitch_deg": 15.0, "clear_height_m": 2.0},
            {},
            "walk into it",
        ),
        ({}, {"access": Access.SIDE_GATE}, "has to come past the side gate"),
        ({}, {"existing_roof": ExistingRoof.FIBRE_CEMENT}, "may hold asbestos"),
        (
            {"on_footings": True},
            {"buried_services_known": None},
            "nobody has found the buried services",
        ),
        ({"sheet_profile": "sheet_polycarbonate"}, {}, "does not carry a person"),
    ],
)
def test_cautions_are_told_in_plain_words(
    ordinary, site, sections, dims, site_change, says
):
    taken = take_off(
        FLAT, replace(ordinary[FLAT], **dims), replace(site, **site_change), sections
    )
    assert any(says in warning for warning in taken.warnings)


def test_a_stair_beyond_one_flight_asks_for_a_landing(ordinary, site, sections):
    deck = Structure.DECK_WITH_ROOF
    high = replace(ordinary[deck], deck_height_m=3.0, slab_fall_mm=500)
    warnings = take_off(deck, high, site, sections).warnings
    (landing,) = (says for says in warnings if "landing" in says)
    assert landing.startswith("The stair has 19 risers, more than the 18 of one flight")


def test_an_ordinary_job_has_no_caution(taken_off):
    assert taken_off[FLAT].warnings == ()


def test_all_bad_dimensions_are_told_at_once(sections, site):
    dims = Dimensions(0.0, float("nan"), 30.0, 2.4, beam_section="post_timber_115")
    problems = check_dimensions(FLAT, dims, sections)
    assert [(p.field, p.says) for p in problems] == [
        ("length_m", "Length is 0 m; make it between 1.5 and 20 m."),
        ("projection_m", "Projection: type a number."),
        ("pitch_deg", "Pitch is 30°; make it between 1 and 15°."),
        (
            "beam_section",
            "Timber post 115 × 115 mm is a post; choose a beam instead.",
        ),
    ]
    with pytest.raises(Refused) as refused:
        take_off(FLAT, dims, site, sections)
    assert len(refused.value.reasons) == 4


@pytest.mark.parametrize(
    ("structure", "change", "says"),
    [
        (
            Structure.FLAT_WITH_GABLE_BAY,
            {"gable_bay_length_m": 8.0},
            "make the bay at most 7.80 m, or choose an attached gable.",
        ),
        (
            Structure.DECK_WITH_ROOF,
            {"deck_height_m": 0.45, "slab_fall_mm": -100.0},
            "make the deck at least 0.50 m high.",
        ),
        (
            Structure.FREESTANDING_FLAT,
            {"projection_m": 1.5, "overhang_m": 0.5},
            "make it at most 0.30 m.",
        ),
        (FLAT, {"post_section": "post_gold"}, 'There is no section "post_gold"'),
    ],
)
def test_shapes_that_cannot_stand_say_what_to_change(
    ordinary, sections, structure, change, says
):
    dims = replace(ordinary[structure], **change)
    (problem,) = check_dimensions(structure, dims, sections)
    assert says in problem.says
