"""Packs of other countries against the rules they paraphrase."""

from datetime import date

import pytest

from safety.domain.approach import at_voltage
from tests.safety.domain.rules import packs

DAY = date(2026, 8, 3)


@pytest.mark.parametrize(
    ("metres", "caught"), [(1.8, False), (1.828, False), (1.8288, True), (1.83, True)]
)
def test_american_fall_protection_begins_at_six_feet_and_not_at_1_8_metres(
    metres, caught
):
    # 29 CFR 1926.501(b)(1), "6 feet (1.8 m) or more"; read in a copy of Subpart M:
    # http://ehso.com/oshaConstruction_M.htm . Six feet are 1.8288 m.
    assert packs()["us"].exceeds("falls.protection_height", metres, "m", DAY) is caught


@pytest.mark.parametrize(
    ("key", "quoted"),
    [
        ("falls.anchor", "at least 5000 lb force"),
        ("falls.arrest_force", "at most 1800 lb force"),
        ("falls.free_fall", "at most 6 ft"),
        ("falls.deceleration", "at most 3.5 ft"),
        ("falls.arrest_mass", "less than 310 lb"),
        ("falls.rail_lowest", "at least 39 in"),
        ("falls.rail_highest", "at most 45 in"),
        ("falls.rail_force", "at least 200 lb force"),
    ],
)
def test_american_fall_arrest_and_guard_rail_numbers(key, quoted):
    # 29 CFR 1926.502(b)(1), (b)(3), (d)(15), (d)(16); read, secondary copies, and
    # https://elcosh.org/image/494/i000147/147.html
    assert packs()["us"].value(key, DAY).quoted() == quoted


@pytest.mark.parametrize(
    ("voltage_kv", "feet"),
    [(50, 10), (51, 15), (200, 15), (201, 20), (351, 25), (501, 35), (751, 45)],
)
def test_american_distances_from_a_line_by_its_voltage(voltage_kv, feet):
    # 29 CFR 1926.1408 Table A; remembered
    pack = at_voltage(packs()["us"], voltage_kv, DAY)
    assert pack.value("electrical.overhead_no_go", DAY).number == feet


def test_the_american_silica_limit_is_twice_its_action_level():
    # 29 CFR 1926.1153; read: http://rms.unlv.edu/occupational/silica/
    pack = packs()["us"]
    assert pack.value("silica.exposure", DAY).quoted() == "more than 50 µg/m³"
    assert pack.value("silica.action", DAY).number == 25
    assert pack.exceeds("silica.exposure", 0.051, "mg/m3", DAY)
    assert pack.value("silica.table_tasks", DAY).number == 18


@pytest.mark.parametrize(
    ("key", "quoted"),
    [
        ("falls.rail_lowest", "at least 950 mm"),
        ("falls.rail_gap", "at most 470 mm"),
        ("scaffold.inspect_every", "at most 7 days"),
        ("noise.lower_action", "at least 80 dB(A)"),
        ("noise.lex8h", "at least 85 dB(A)"),
        ("noise.limit", "more than 87 dB(A)"),
        ("vibration.action", "at least 2.5 m/s²"),
        ("vibration.limit", "more than 5 m/s²"),
        ("incidents.over_seven_days", "more than 7 days"),
        ("incidents.over_seven_report", "at most 15 days"),
        ("incidents.report_within", "at most 10 days"),
        ("approvals.development", "more than 8 weeks"),
    ],
)
def test_british_numbers(key, quoted):
    # Work at Height Regulations 2005 Sch 2: http://www.hse.gov.uk/falls/faq.htm ; noise:
    # the Directive's table (link in test_exposures_noise); vibration: HSE ready reckoner;
    # RIDDOR and planning: council and portal pages named in the pack. All read, but for
    # the seven days of reg 12 for a scaffold: remembered.
    assert packs()["uk"].value(key, DAY).quoted() == quoted


@pytest.mark.parametrize(("hours", "needed"), [(4.0, False), (4.01, True)])
def test_american_respirators_begin_after_four_hours_of_breaking(hours, needed):
    # 29 CFR 1926.1153 Table 1 (ii) and (x), outdoors with water; remembered
    pack = packs()["us"]
    assert pack.exceeds("silica.respirator_after", hours, "h", DAY) is needed
    assert pack.exceeds("silica.respirator_after", hours * 60, "min", DAY) is needed


def test_britain_has_no_height_below_which_a_fall_does_not_count():
    # Work at Height Regulations 2005, no height in the text; read on the HSE page above
    assert packs()["uk"].find("falls.statement_height", DAY) is None
    assert packs()["uk"].find("falls.duty", DAY) is not None


@pytest.mark.parametrize(("height_m", "caught"), [(4.99, False), (5.0, True)])
def test_new_zealand_is_notified_from_five_metres(height_m, caught):
    # Official FAQ copy; read: http://www.dol.govt.nz/workplace/knowledgebase/item/1423
    assert packs()["nz"].exceeds("notice.fall_height", height_m, "m", DAY) is caught


def test_new_zealand_s_older_rule_is_more_than_three_metres():
    # SR 1995/167 reg 21, from its contents; read:
    # https://www.legislation.govt.nz/regulation/public/1995/0167/latest/whole.html
    pack = packs()["nz"]
    assert not pack.exceeds("falls.old_rule_height", 3.0, "m", DAY)
    assert pack.exceeds("falls.old_rule_height", 3.01, "m", DAY)


def test_no_other_country_has_a_statement_required_by_law():
    for key in ("uk", "us", "nz"):
        assert packs()[key].find("statement.before_work", DAY) is None
        assert packs()[key].text("statement.name", DAY)


@pytest.mark.parametrize(
    ("place", "number"), [("nz", "111"), ("uk", "999"), ("us", "911")]
)
def test_every_place_has_a_number_to_call_in_an_emergency(place, number):
    # public knowledge of each country's emergency service; remembered
    assert packs()[place].value("emergency.number", DAY).text == number
