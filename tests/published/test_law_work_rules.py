"""Work rules in the Australian packs: falls, scaffolds, electricity, noise, silica."""

from datetime import date

import pytest

from safety.domain.approach import at_voltage
from tests.safety.domain.rules import packs

DAY = date(2026, 8, 3)


@pytest.mark.parametrize(
    ("key", "number", "unit", "caught"),
    [
        ("falls.second_tier_housing", 2.99, "m", False),
        ("falls.second_tier_housing", 3.0, "m", True),
        ("falls.second_tier_other", 1.99, "m", False),
        ("falls.second_tier_other", 2.0, "m", True),
        ("falls.second_tier_slope", 26.0, "deg", False),
        ("falls.second_tier_slope", 26.1, "deg", True),
    ],
)
def test_queensland_has_a_second_tier_of_fall_rules(key, number, unit, caught):
    # WHS Regulation 2011 (Qld) ss 306C-306J; read, secondary copy
    assert packs()["au-qld"].exceeds(key, number, unit, DAY) is caught


def test_a_deck_of_two_metres_in_queensland_is_caught_by_one_rule_only():
    # Follows from the two texts above: "at least 2 m" and "more than 2 m"; computed
    pack = packs()["au-qld"]
    assert pack.exceeds("falls.second_tier_other", 2.0, "m", DAY)
    assert not pack.exceeds("falls.statement_height", 2.0, "m", DAY)


def test_no_other_state_has_the_second_tier():
    # The same source: the sections are Queensland's own
    others = [key for key in packs() if key.startswith("au") and key != "au-qld"]
    assert all(not packs()[k].find("falls.second_tier_other", DAY) for k in others)


def test_fall_controls_come_as_prevention_then_positioning_then_arrest():
    # SA r 79(3); read: http://classic.austlii.edu.au/au/legis/sa/consol_reg/whasr2012327/s79.html
    says = [item.says for item in packs()["au"].items("falls.order", DAY)]
    assert [
        word in text
        for word, text in zip(
            ("prevention", "positioning", "arrest"), says, strict=True
        )
    ] == [True] * 3


def test_four_devices_prevent_a_fall_and_four_tests_make_a_construction_solid():
    # SA rr 78(5) and 79(5); read, as above
    pack = packs()["au"]
    assert len(pack.items("falls.prevention_devices", DAY)) == 4
    assert len(pack.items("falls.solid_construction", DAY)) == 4


@pytest.mark.parametrize(("height_m", "caught"), [(4.0, False), (4.01, True)])
def test_a_scaffold_is_confirmed_in_writing_above_four_metres(height_m, caught):
    # WA r 225; read: http://classic.austlii.edu.au/au/legis/wa/consol_reg/whasgr2022382/s225.html
    pack = packs()["au"]
    assert pack.exceeds("scaffold.confirm_height", height_m, "m", DAY) is caught
    assert pack.value("scaffold.inspect_every", DAY).quoted() == "at most 30 days"


def test_tools_on_a_construction_site_are_tagged_every_three_months():
    # NT regulator's bulletin; read: https://worksafe.nt.gov.au/forms-and-resources/
    # bulletins/safety-inspection-and-testing-of-electrical-equipment-on-construction-sites
    pack = packs()["au"]
    assert pack.value("electrical.test_every", DAY).quoted() == "at most 3 months"
    assert pack.value("electrical.wiring_every", DAY).quoted() == "at most 6 months"


def test_the_tag_is_red_in_summer_and_green_in_autumn():
    # AS/NZS 3012 Appendix F; read, secondary copy; a convention of the industry
    items = packs()["au"].items("electrical.tag_colours", DAY)
    colours = {item.key: item.says.split()[0] for item in items}
    assert colours == {"12": "Red", "3": "Green", "6": "Blue", "9": "Yellow"}


@pytest.mark.parametrize(
    ("distance_m", "no_go", "spotter"),
    [(2.99, True, True), (3.0, False, True), (6.39, False, True), (6.4, False, False)],
)
def test_victoria_keeps_three_metres_from_a_line_on_poles(distance_m, no_go, spotter):
    # No go zones for lines on poles; read, secondary copies that agree
    pack = packs()["au-vic"]
    assert pack.exceeds("electrical.overhead_no_go", distance_m, "m", DAY) is no_go
    assert pack.exceeds("electrical.overhead_spotter", distance_m, "m", DAY) is spotter


def test_victoria_keeps_eight_metres_from_a_line_on_towers():
    # State energy regulator; read: https://www.esv.vic.gov.au/technical-information/
    # electrical-installations-and-infrastructure/no-go-zones/transmission-overhead-powerlines/
    pack = packs()["au-vic"]
    assert (
        pack.value("electrical.overhead_no_go_above_66", DAY).quoted()
        == "less than 8 m"
    )
    assert (
        pack.value("electrical.overhead_spotter_above_66", DAY).quoted()
        == "less than 10 m"
    )


@pytest.mark.parametrize(
    ("voltage_kv", "metres"), [(0.4, 3), (132, 3), (132.1, 6), (330, 6), (330.1, 8)]
)
def test_new_south_wales_keeps_further_from_lines_of_higher_voltage(voltage_kv, metres):
    # Work near overhead power lines code of practice 2006 (NSW), table; remembered
    pack = at_voltage(packs()["au-nsw"], voltage_kv, DAY)
    assert pack.value("electrical.overhead_no_go", DAY).number == metres


def test_metres_from_a_line_are_the_firm_s_own_where_no_rule_gives_them():
    # Model WHS Regulations reg 166 gives no metres; remembered
    assert packs()["au-tas"].value("electrical.overhead_no_go", DAY).source.basis == (
        "firm's decision"
    )


@pytest.mark.parametrize(("level", "caught"), [(85.0, False), (85.1, True)])
def test_the_noise_standard_is_85_decibels_over_eight_hours(level, caught):
    # WA r 3.45, the same numbers; read:
    # http://www.austlii.edu.au/au/legis/wa/consol_reg/osahr1996382/s3.45.html
    assert packs()["au"].exceeds("noise.lex8h", level, "dB(A)", DAY) is caught
    assert packs()["au"].value("noise.peak", DAY).number == 140


@pytest.mark.parametrize(
    ("share", "caught"), [(0.99, False), (1.0, True), (25.0, True)]
)
def test_a_substance_with_one_percent_silica_is_caught(share, caught):
    # Queensland regulator; read: https://www.worksafe.qld.gov.au/safety-and-prevention/
    # hazards/workplace-hazards/regulation-on-processing-crystalline-silica-substances
    assert packs()["au"].exceeds("silica.substance", share, "%", DAY) is caught


def test_controlled_processing_means_at_least_one_of_five():
    # The same page; read
    assert len(packs()["au"].items("silica.controls", DAY)) == 5


def test_silica_rules_begin_on_the_first_of_september_2024():
    # The same page; read
    pack = packs()["au"]
    assert pack.find("silica.processing", date(2024, 8, 31)) is None
    assert pack.find("silica.processing", date(2024, 9, 1)) is not None


def test_standards_become_limits_on_the_first_of_december_2026():
    # Safe Work Australia; read: https://www.safeworkaustralia.gov.au/taxonomy/term/151
    pack = packs()["au-nsw"]
    before, after = date(2026, 11, 30), date(2026, 12, 1)
    assert pack.text("exposures.list_name", before) == "workplace exposure standards"
    assert pack.text("exposures.list_name", after) == "workplace exposure limits"
    assert pack.value("silica.exposure", before).number == 0.05
    # whether the number stays was still open when the page was read
    assert not pack.value("silica.exposure", before).needs_check
    assert pack.value("silica.exposure", after).needs_check


@pytest.mark.parametrize(
    ("key", "quoted"),
    [
        ("gutter.eaves_fall", "at most 500"),
        ("gutter.box_fall", "at most 100"),
        ("gutter.downpipe_serves", "at most 12 m"),
        ("gutter.bracket_spacing", "at most 1.2 m"),
    ],
)
def test_gutters_follow_the_building_code(key, quoted):
    # NCC 2019 Vol 2 3.5.3; read: https://ncc.abcb.gov.au/editions/2019/ncc-2019-volume-two/
    # part-35-roof-and-wall-cladding/part-353-gutters-and-downpipes ; brackets secondary copy
    assert packs()["au"].value(key, DAY).quoted() == quoted


@pytest.mark.parametrize(
    ("key", "number", "inside"),
    [
        ("planning.exempt_area", 25.0, True),
        ("planning.exempt_area", 25.01, False),
        ("planning.exempt_height", 3.0, True),
        ("planning.exempt_height", 3.01, False),
        ("planning.exempt_floor", 1.0, True),
    ],
)
def test_a_small_patio_is_exempt_in_new_south_wales(key, number, inside):
    # SEPP (Exempt and Complying Development Codes) 2008 cl 2.12; read, secondary copy
    value = packs()["au-nsw"].value(key, DAY)
    assert value.exceeded_by(number, value.unit) is inside
