"""Safe work method statements in the Australian packs against the law they paraphrase."""

from datetime import date

import pytest

from tests.safety.domain.rules import packs

DAY = date(2026, 8, 3)
STATES = ("au-nsw", "au-qld", "au-vic", "au-sa", "au-wa", "au-tas", "au-act", "au-nt")


def test_there_are_eighteen_categories_of_high_risk_construction_work():
    # NSW WHS Regulation 2017 cl 291, paragraphs (a) to (r); read:
    # https://www.legislation.nsw.gov.au/~/view/regulation/2017/404/chap6/part6.1/sec291
    items = packs()["au"].items("statement.categories", DAY)
    assert "".join(item.key for item in items) == "abcdefghijklmnopqr"


@pytest.mark.parametrize(
    ("height_m", "caught"), [(1.99, False), (2.0, False), (2.01, True), (2.7, True)]
)
def test_exactly_two_metres_is_not_caught(height_m, caught):
    # NSW WHS Regulation 2017 cl 291(a), "more than 2 metres"; read, as above
    assert (
        packs()["au-nsw"].exceeds("falls.statement_height", height_m, "m", DAY)
        is caught
    )


@pytest.mark.parametrize(
    ("day", "height_m", "caught"),
    [
        (date(2026, 6, 30), 2.5, False),
        (date(2026, 6, 30), 3.0, False),
        (date(2026, 6, 30), 3.01, True),
        (date(2026, 7, 1), 2.0, False),
        (date(2026, 7, 1), 2.01, True),
    ],
)
def test_south_australia_moved_from_three_metres_to_two(day, height_m, caught):
    # Regulator quoted in the trade press; read, secondary copy:
    # https://www.safetysolutions.net.au/content/height/news/south-australia-to-reduce-
    # height-limitation-of-high-risk-construction-work-144009017
    assert (
        packs()["au-sa"].exceeds("falls.statement_height", height_m, "m", day) is caught
    )


@pytest.mark.parametrize(("depth_m", "caught"), [(1.5, False), (1.51, True)])
def test_a_trench_of_a_metre_and_a_half_is_not_caught(depth_m, caught):
    # NSW WHS Regulation 2017 cl 291(g), "deeper than 1.5 metres"; read, as above
    pack = packs()["au-nsw"]
    assert pack.exceeds("excavation.statement_depth", depth_m, "m", DAY) is caught


def test_a_statement_has_four_required_contents_and_no_score_or_signature():
    # SA WHS Regulations 2012 r 299(2); read:
    # http://classic.austlii.edu.au/au/legis/sa/consol_reg/whasr2012327/s299.html
    items = packs()["au"].items("statement.contents", DAY)
    assert [item.key for item in items] == ["a", "b", "c", "d"]
    words = " ".join(item.says for item in items).lower()
    assert "signature" not in words
    assert "score" not in words


def test_circumstances_plan_and_readability_are_asked_for_beside_them():
    # SA WHS Regulations 2012 r 299(3); read, as above
    keys = [i.key for i in packs()["au"].items("statement.circumstances", DAY)]
    assert keys == ["circumstances", "plan", "readable"]


def test_statement_and_incident_record_are_kept_for_different_times():
    # SA r 303 (statement: 2 years from the incident); read:
    # http://www5.austlii.edu.au/au/legis/sa/consol_reg/whasr2012327/s303.html
    # NSW WHS Act s 38 (record: 5 years from the notice); read:
    # http://www5.austlii.edu.au/au/legis/nsw/consol_act/whasa2011218/s38.html
    pack = packs()["au-nsw"]
    assert pack.value("statement.keep", DAY).text == "until the work is completed"
    statement = pack.value("statement.keep_after_incident", DAY)
    record = pack.value("incidents.record_keep", DAY)
    assert (statement.number, statement.unit) == (2, "year")
    assert (record.number, record.unit) == (5, "year")


def test_a_notifiable_incident_is_one_of_three_kinds():
    # NSW WHS Act s 35; read: https://www.legislation.nsw.gov.au/~/view/act/2011/10/part3
    assert len(packs()["au"].items("incidents.notifiable", DAY)) == 3


def test_eight_injuries_are_serious_and_twelve_incidents_dangerous():
    # NSW WHS Act ss 36 and 37; read:
    # http://www.legislation.nsw.gov.au/~/view/act/2011/10/part3/sec36 and /sec37
    pack = packs()["au"]
    assert len(pack.items("incidents.serious_injuries", DAY)) == 8
    dangerous = {i.key: i.says for i in pack.items("incidents.dangerous", DAY)}
    assert "".join(dangerous) == "abcdefghijkl"
    assert dangerous["e"] == "Electric shock."
    assert "Fall or release from a height" in dangerous["f"]
    assert "collapse of a structure" in dangerous["h"]


def test_the_regulator_is_told_at_once_and_in_writing_within_48_hours():
    # NSW WHS Act s 38; read, as above
    pack = packs()["au"]
    assert pack.value("incidents.notify", DAY).text == "immediately"
    assert not pack.exceeds("incidents.written_within", 49, "h", DAY)
    assert pack.exceeds("incidents.written_within", 48, "h", DAY)


def test_the_site_is_left_alone_but_for_five_exceptions():
    # NSW WHS Act s 39; read:
    # https://www.legislation.nsw.gov.au/~/view/act/2011/10/part3/sec39
    assert len(packs()["au"].items("incidents.preserve", DAY)) == 5


def test_controls_stand_on_four_steps():
    # NT r 36; read in a law mirror: https://zoelaw.ai/legislation/work-health-and-safety-
    # national-uniform-legislation-regulations-2011/sections/36
    assert len(packs()["au"].items("hierarchy.order", DAY)) == 4


def test_a_management_plan_has_five_parts():
    # Tas 2022 r 309; read:
    # http://classic.austlii.edu.au/au/legis/tas/num_reg/whasr20222022n109389/s309.html
    assert len(packs()["au"].items("project.plan_contents", DAY)) == 5


@pytest.mark.parametrize(
    ("place", "dollars"),
    [("au", 250_000), ("au-nt", 500_000), ("au-sa", 450_000), ("au-vic", 350_000)],
)
def test_a_construction_project_begins_at_the_cost_itself(place, dollars):
    # NT regulator's bulletin (250 000 and 500 000; read):
    # https://worksafe.nt.gov.au/forms-and-resources/bulletins/transition-arrangements-for-
    # new-trigger-point-for-principal-contractor-duties-on-construction-projects
    # SA 450 000 and Vic 350 000: read in secondary copies
    pack = packs()[place]
    assert pack.exceeds("project.cost", dollars, "AUD", DAY)
    assert not pack.exceeds("project.cost", dollars - 1, "AUD", DAY)


def test_an_induction_card_lapses_by_two_years_two_years_and_sixty_days():
    # NSW WHS Regulation 2017 cl 317; read:
    # https://www.legislation.nsw.gov.au/~/view/regulation/2017/404/chap6/part6.5/div1/sec317
    pack = packs()["au-nsw"]
    assert pack.value("induction.training_age", DAY).quoted() == "more than 2 years"
    assert pack.value("induction.worked_within", DAY).quoted() == "at most 2 years"
    assert pack.value("induction.certificate_age", DAY).quoted() == "at most 60 days"


@pytest.mark.parametrize("place", STATES)
def test_every_state_has_a_code_for_its_holidays_and_the_document_s_own_name(place):
    pack = packs()[place]
    assert pack.text("holidays.subdivision", DAY) == place.removeprefix("au-").upper()
    assert pack.text("statement.name", DAY) == "safe work method statement"


@pytest.mark.parametrize(
    ("key", "days"),
    [
        ("approvals.development", 40),
        ("approvals.development_integrated", 60),
        ("approvals.development_state", 90),
        ("approvals.construction_certificate", 28),
        ("approvals.occupation_certificate", 14),
    ],
)
def test_new_south_wales_counts_an_application_refused_after_so_many_days(key, days):
    # EP&A Regulation 2021 s 91 and Development Certification and Fire Safety Regulation
    # 2021 s 119; read in a law mirror: https://zoelaw.ai/legislation/environmental-
    # planning-and-assessment-regulation-2021/sections/91
    value = packs()["au-nsw"].value(key, DAY)
    assert (value.number, value.unit) == (days, "day")
