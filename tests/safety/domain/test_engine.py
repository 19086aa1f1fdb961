"""The engine on small jobs: what is in the plan, why, and under whose rule."""

from dataclasses import replace
from datetime import date

import pytest

from jobs.domain.facts import ToolUse
from jobs.domain.holds import Basis
from jobs.domain.site_facts import ExistingRoof, Ground
from safety.domain.engine import hazard_plan
from safety.domain.hierarchy import Level
from safety.domain.plan import WHOLE_JOB
from tests.safety.domain.jobs import PATIO, PATIO_TASKS, SITE, job, lift, task
from tests.safety.domain.rules import packs, rule_book

ON = date(2026, 8, 10)


def plan(*tasks, place="au-nsw", on=ON, **changes):
    return hazard_plan(job(*tasks, **changes), rule_book(place), on)


def roof(height=2.7, **changes):
    return task("lay_sheets", height=height, **changes)


def has(found, key):
    return any(line.key == key for line in found.lines)


def letters(found):
    return {category.key for category in found.categories}


def test_lines_follow_the_sequence_of_the_work_after_those_of_the_whole_job(patio):
    positions = [line.position for line in patio.lines]
    assert positions == sorted(positions)
    assert patio.lines[0].task_key == WHOLE_JOB
    assert patio.uncovered_tasks() == ()


def test_a_task_without_a_hazard_would_be_named(patio):
    more = replace(patio, task_keys=(*patio.task_keys, "dance"))
    assert more.uncovered_tasks() == ("dance",)


def test_a_line_says_which_height_and_which_rule_put_it_there(patio):
    line = patio.line("lay_sheets/fall_from_height")
    assert "People work at 2.7 m above what is below them." in line.why
    assert "That is more than 2 m" in line.why
    assert "14.6 m of open edge" in line.why
    assert line.categories == ("a",)
    assert line.basis is Basis.LAW


def test_how_a_control_is_checked_shows_the_figures_of_the_place():
    line = plan(roof(5.0)).line("lay_sheets/fall_from_height")
    (scaffold,) = (c for c in line.controls if c.key == "fall_scaffold_handover")
    assert "30 days ago" in scaffold.check
    assert not [c.key for c in line.controls if "{" in c.check + c.ask + c.text]


def test_two_metres_exactly_is_a_fall_hazard_but_not_high_risk_work():
    found = plan(roof(2.0))
    line = found.line("lay_sheets/fall_from_height")
    assert line.categories == ()
    assert "high risk construction work" not in line.why
    assert letters(found) == set()
    assert not found.duty.by_law
    assert "by its own choice" in found.duty.says


def test_a_fall_over_two_metres_makes_the_statement_a_duty():
    found = plan(roof(2.01))
    assert letters(found) == {"a"}
    assert found.duty.by_law
    assert "This job falls in: a." in found.duty.says


@pytest.mark.parametrize(
    ("day", "by_law"), [(date(2026, 6, 30), False), (date(2026, 7, 1), True)]
)
def test_the_law_of_the_day_of_the_work_decides(day, by_law):
    assert plan(roof(2.5), place="au-sa", on=day).duty.by_law is by_law


def test_the_hazard_itself_does_not_wait_for_the_law():
    found = plan(roof(2.5), place="au-sa", on=date(2026, 6, 30))
    assert has(found, "lay_sheets/fall_from_height")


def test_controls_come_in_the_order_of_the_hierarchy(patio):
    for line in patio.lines:
        places = [control.level.place for control in line.controls]
        assert places == sorted(places), line.key


def test_a_long_lanyard_is_not_offered_at_this_height(patio):
    keys = [c.key for c in patio.line("lay_sheets/fall_from_height").controls]
    assert "fall_arrest_ok" not in keys
    assert "fall_arrest_too_low" in keys
    warning = next(
        c
        for c in patio.line("lay_sheets/fall_from_height").controls
        if c.key == "fall_arrest_too_low"
    )
    assert "at least 6.85 m" in warning.text
    assert "more than there is" in warning.text
    # The height stands in the reason, so that steps of other heights share the words.
    assert "People work at 2.7 m" in patio.line("lay_sheets/fall_from_height").why


def test_where_there_is_room_fall_arrest_is_offered_as_the_last_line():
    found = plan(roof(7.0)).line("lay_sheets/fall_from_height")
    by_key = {control.key: control for control in found.controls}
    assert by_key["fall_arrest_ok"].level is Level.PPE
    assert "fall_arrest_too_low" not in by_key


def test_queensland_adds_its_second_tier():
    assert has(plan(roof(2.0), place="au-qld"), "lay_sheets/fall_prescribed_controls")
    assert not has(
        plan(roof(1.9), place="au-qld"), "lay_sheets/fall_prescribed_controls"
    )
    assert not has(plan(roof(3.5)), "lay_sheets/fall_prescribed_controls")


def test_an_unknown_year_counts_as_an_old_house_and_says_so():
    site = replace(SITE, building_year=None)
    found = plan(task("remove_existing", height=2.5), site=site)
    line = found.line("remove_existing/asbestos_eave")
    assert "site.building_year" in line.unknowns
    assert "Nobody has found out yet: year the house was built." in line.why
    asbestos = next(c for c in found.categories if c.key == "d")
    assert asbestos.undecided
    assert "site.building_year" in found.unknowns()


@pytest.mark.parametrize(
    ("year", "roofing", "there"),
    [
        (1989, ExistingRoof.STEEL_SHEET, True),
        (1990, ExistingRoof.STEEL_SHEET, False),
        (2015, ExistingRoof.FIBRE_CEMENT, True),
    ],
)
def test_asbestos_is_presumed_by_year_or_by_sheet(year, roofing, there):
    site = replace(SITE, building_year=year, existing_roof=roofing)
    found = plan(task("remove_existing", height=2.5), site=site)
    assert has(found, "remove_existing/asbestos_eave") is there


def test_drilling_a_slab_is_caught_by_the_silica_rules_and_cutting_steel_is_not():
    drilling = task("drill_slab", tools=(ToolUse("rotary_hammer", 40.0),))
    cutting = task("cut_steel", tools=(ToolUse("angle_grinder", 40.0),))
    found = plan(drilling, cutting)
    line = found.line("drill_slab/silica_dust")
    assert line.source.basis is Basis.LAW
    assert "at least 1 %" in line.why
    assert not has(found, "cut_steel/silica_dust")


def test_before_the_silica_rule_the_line_stays_and_its_label_changes():
    drilling = task("drill_slab", tools=(ToolUse("rotary_hammer", 40.0),))
    line = plan(drilling, on=date(2024, 8, 31)).line("drill_slab/silica_dust")
    assert line.source.basis is Basis.FIRM
    assert "must be controlled" not in line.why


@pytest.mark.parametrize(
    ("place", "tool", "minutes", "there"),
    [
        ("us", "breaker", 240.0, False),
        ("us", "breaker", 241.0, True),
        ("us", "rotary_hammer", 300.0, False),
        ("au-nsw", "breaker", 300.0, False),
    ],
)
def test_a_respirator_follows_the_dust_table_of_the_place(place, tool, minutes, there):
    step = task("drill_slab", tools=(ToolUse(tool, minutes),))
    found = hazard_plan(job(step), rule_book(place), ON)
    controls = {c.key for c in found.line("drill_slab/silica_dust").controls}
    assert ("silica_long_respirator" in controls) is there


@pytest.mark.parametrize(
    ("distance", "there", "likelihood"),
    [(2.9, True, 5), (3.0, True, 3), (6.4, True, 2), (20.0, False, 0), (None, True, 5)],
)
def test_an_overhead_line_weighs_by_its_distance(distance, there, likelihood):
    line = {"overhead_line": True, "overhead_line_distance_m": distance}
    site = replace(SITE, overhead_line_kv=0.4, **line)
    found = plan(roof(), site=site)
    assert has(found, "lay_sheets/overhead_line") is there
    if there:
        line = found.line("lay_sheets/overhead_line")
        assert line.initial.likelihood >= likelihood
        assert ("k" in letters(found)) is (distance is None or distance < 6.4)


def test_a_heavy_beam_is_judged_by_its_lifting_index():
    found = plan(task("lift_beams", height=1.2, lifts=(lift("beam", 60.0),)))
    line = found.line("lift_beams/heavy_lift")
    assert "60 kg" in line.name
    assert "People on it: 2." in line.why
    assert "lifting index" in line.why
    assert any(c.key == "lift_by_hand_stop" for c in line.controls)


def test_a_light_piece_is_no_heavy_lift():
    found = plan(task("lift_beams", height=1.2, lifts=(lift("purlin", 4.0),)))
    assert not has(found, "lift_beams/heavy_lift")


def test_noise_is_a_dose_of_this_job_s_minutes():
    def noise_of(minutes):
        step = task("cut_steel", tools=(ToolUse("angle_grinder", minutes),))
        return plan(step).line("cut_steel/noise")

    long, short = noise_of(60.0), noise_of(5.0)
    assert "past the limit of 85 dB(A)" in long.why
    assert "not past the limit of 85 dB(A)" in short.why
    assert long.initial.likelihood > short.initial.likelihood


def test_wind_is_the_push_on_this_sheet_at_the_firm_s_limit():
    sheets = (lift("sheet", 20.0, length_m=6.0),)
    line = plan(roof(lifts=sheets, wind_limit_ms=8.0)).line(
        "lay_sheets/wind_takes_sheet"
    )
    assert "about 175 N" in line.why
    assert "The firm stops this step at 8 m/s; no law gives a number." in line.why


def test_summer_raises_heat_and_winter_leaves_it_out():
    summer = plan(roof(), on=date(2026, 1, 12))
    winter = plan(roof(), on=date(2026, 7, 6))
    assert "It is summer." in summer.line("job/heat").raised
    assert not has(winter, "job/heat")


def test_a_free_standing_frame_has_no_wall_to_lean_on():
    posts = task("stand_posts", lifts=(lift("post", 13.0),))
    found = plan(posts, structure="freestanding_flat")
    line = found.line("stand_posts/frame_falls_over")
    assert "stands free" in line.why
    assert line.raised == ("Free-standing until the bracing is on.",)


def test_soft_ground_raises_what_stands_on_it():
    step = task("prop_beams")
    firm = plan(step).line("prop_beams/props_give_way")
    soft = plan(step, site=replace(SITE, ground=Ground.SOFT_SOIL))
    assert soft.line("prop_beams/props_give_way").initial.rank >= firm.initial.rank
    assert "soft soil" in soft.line("prop_beams/props_give_way").why


def test_a_category_that_facts_only_suggest_is_left_to_a_person(patio):
    undecided = {c.key for c in patio.categories if c.undecided}
    assert undecided == {"c", "e"}
    assert all(c.needs_reading for c in patio.categories if c.undecided)
    assert "Still to be decided: c, e." in patio.duty.says


def test_the_order_of_tasks_in_the_facts_does_not_matter(nsw, patio):
    turned = job(*reversed(PATIO_TASKS))
    assert hazard_plan(turned, nsw, ON).lines == patio.lines


def test_a_plan_is_made_of_its_facts_alone(nsw, patio):
    assert hazard_plan(PATIO, nsw, ON) == patio


def test_a_remembered_rule_prints_its_caution(patio):
    cautions = [line.source.cite() for line in patio.lines if line.source.needs_check]
    assert cautions
    assert all("check before relying on it" in words for words in cautions)


@pytest.mark.parametrize("place", sorted(packs()))
def test_every_place_gives_a_whole_plan_without_a_missing_figure(place):
    found = hazard_plan(PATIO, rule_book(place), ON)
    assert found.uncovered_tasks() == ()
    texts = [line.why for line in found.lines]
    texts += [control.text for line in found.lines for control in line.controls]
    assert not [text for text in texts if "no figure" in text]
    assert all(
        control.source.cite() for line in found.lines for control in line.controls
    )
