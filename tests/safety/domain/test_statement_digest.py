"""What of a statement counts for a signature: hazards and controls, not arithmetic."""

import hashlib
from copy import deepcopy
from dataclasses import replace
from datetime import date

import pytest
import rfc8785
from hypothesis import given, settings
from hypothesis import strategies as st

from jobs.domain.facts import ToolUse
from safety.domain.bands import UNCOUNTED, counted
from safety.domain.fact_names import FACTS
from safety.domain.overrides import Action, Override
from safety.domain.statement import line_contents
from safety.domain.statement_diff import differences
from safety.domain.statement_digest import OUTSIDE_DIGEST, digest, what_counts
from tests.safety.domain.contents import HEADER, content
from tests.safety.domain.jobs import PATIO, PATIO_TASKS, SITE, job, lift, task
from tests.safety.domain.rules import library

HEIGHTS = st.floats(0.6, 6.0).map(lambda height: round(height, 2))


def test_it_is_sha_256_over_canonical_json_of_what_counts():
    found = content()
    plain = rfc8785.dumps(what_counts(found))
    assert digest(found) == hashlib.sha256(plain).hexdigest()


def test_what_was_signed_under_format_1_keeps_its_digest():
    old = content() | {"format": 1}
    kept = {key: part for key, part in old.items() if key not in OUTSIDE_DIGEST}
    signed = hashlib.sha256(rfc8785.dumps(kept)).hexdigest()
    assert digest(old) == signed
    old["steps"][0]["lines"][0]["why"] += " One word more."
    assert digest(old) != signed


def test_the_same_job_twice_gives_the_same_digest():
    assert digest(content()) == digest(content())


def test_a_corrected_phone_number_asks_nobody_to_sign_again():
    header = replace(HEADER, contacts={"Sal Lead": "02 5550 0102"}, print={})
    later = content(header=header, on=date(2026, 8, 12))
    assert digest(later) == digest(content())
    found = differences(content(), later)
    assert found
    assert not any(difference.signs_again for difference in found)


@pytest.mark.parametrize(
    "header",
    [
        replace(HEADER, site="5 Wattle Court, Testfield"),
        replace(HEADER, responsible="Lou Lead"),
        replace(HEADER, circumstances=("A trench is open next door.",)),
        replace(HEADER, structure="Attached flat roof, 6 m along by 4.5 m out"),
    ],
)
def test_what_a_person_signs_on_to_is_under_the_digest(header):
    assert digest(content(header=header)) != digest(content())


def test_an_hour_of_labour_more_is_shown_and_asks_nobody_to_sign_again():
    longer = [
        replace(t, person_minutes=300.0) if t.kind == "lay_sheets" else t
        for t in PATIO_TASKS
    ]
    before, after = content(), content(job(*longer))
    assert before != after
    assert digest(before) == digest(after)
    found = differences(before, after)
    assert any("hours of labour" in one.says for one in found)
    assert not any(one.signs_again for one in found)


@settings(max_examples=30)
@given(
    # two people, so that all eleven steps stay in one day
    minutes=st.lists(st.floats(45, 80), min_size=2, max_size=2),
    screws=st.lists(st.integers(1, 900), min_size=2, max_size=2),
    mass_kg=st.lists(st.floats(50, 900), min_size=2, max_size=2),
    area_m2=st.lists(st.floats(5, 90), min_size=2, max_size=2),
)
def test_how_much_work_there_is_does_not_count(minutes, screws, mass_kg, area_m2):
    one, other = (
        content(
            job(
                *(replace(t, person_minutes=minutes[n]) for t in PATIO_TASKS),
                quantities={
                    "roof_screw_count": float(screws[n]),
                    "load_mass": mass_kg[n],
                    "roof_plan_area": area_m2[n],
                },
            )
        )
        for n in (0, 1)
    )
    assert digest(one) == digest(other)


def test_labour_that_parts_two_loud_steps_counts_because_a_rating_follows():
    def at(minutes):
        grinder = (ToolUse("angle_grinder", 12.0),)
        first = task("cut_steel", tools=grinder, person_minutes=minutes)
        second = task("trim_sheets", position=2, tools=grinder, person_minutes=200.0)
        return content(job(first, second))

    together, longer, apart = at(290.0), at(400.0), at(900.0)
    assert digest(together) == digest(longer)  # 84 dB(A) each, 87 in the day
    assert digest(together) != digest(apart)
    louder = [one for one in differences(apart, together) if "Noise" in one.where]
    assert any("is now likely" in one.says and one.signs_again for one in louder)


@settings(max_examples=40)
@given(height=HEIGHTS, more=st.floats(0.1, 3.0).map(lambda more: round(more, 2)))
def test_a_greater_height_counts(height, more):
    def at(metres):
        step = task("lay_sheets", height=round(metres, 2), tools=_LADDER)
        return content(job(step))

    assert digest(at(height)) != digest(at(height + more))


_LADDER = (ToolUse("ladder", 0.0),)


@settings(max_examples=30)
@given(edge=st.integers(0, 400), more=st.integers(10, 200))
def test_a_new_open_edge_counts(edge, more):
    def with_edge(decimetres):
        edges = {"exposed_edge_length": decimetres / 10}
        return content(job(*PATIO_TASKS, quantities=edges))

    assert digest(with_edge(edge)) != digest(with_edge(edge + more))


@settings(max_examples=30)
@given(mass=st.integers(30, 900), more=st.integers(50, 300))
def test_a_heavier_lift_counts(mass, more):
    def lifting(tenths_kg):
        return content(
            job(task("lift_beams", lifts=(lift("beam", tenths_kg / 10, people=4),)))
        )

    assert digest(lifting(mass)) != digest(lifting(mass + more))


@settings(max_examples=60)
@given(
    heights=st.tuples(HEIGHTS, HEIGHTS),
    minutes=st.tuples(st.floats(1, 900), st.floats(1, 900)),
    masses=st.tuples(st.floats(1, 90), st.floats(1, 90)),
    slopes=st.tuples(st.sampled_from([None, 1.0, 6.0]), st.sampled_from([None, 1.0])),
)
def test_a_digest_changes_just_when_a_difference_asks_to_sign_again(
    heights, minutes, masses, slopes
):
    one, other = (
        content(
            job(
                task(
                    "lay_sheets",
                    height=height,
                    person_minutes=duration,
                    tools=(ToolUse("screw_gun", duration), *_LADDER),
                    lifts=(lift("sheet", mass),),
                ),
                site=replace(SITE, slab_slope_pct=slope),
            )
        )
        for height, duration, mass, slope in zip(
            heights, minutes, masses, slopes, strict=True
        )
    )
    signs = any(found.signs_again for found in differences(one, other))
    assert signs == (digest(one) != digest(other))


def _changed(change):
    found = deepcopy(content())
    line = next(line for line in line_contents(found) if line["categories"])
    change(found, line)
    return found


CHANGES = {
    "a control less": lambda _, line: line["controls"].pop(),
    "another check": lambda _, line: line["controls"][0].update(check="Nobody looks."),
    "another question": lambda _, line: line["controls"][0].update(ask="Is it there?"),
    "another level": lambda _, line: line["controls"][0].update(level="ppe"),
    "before": lambda _, line: line["initial"].update(likelihood=1),
    "after": lambda _, line: line["residual"].update(consequence=1),
    "another harm": lambda _, line: line.update(harm="A bruise."),
    "a letter less": lambda _, line: line["categories"].pop(),
    "a category less": lambda found, _: found["categories"].pop(),
    "another order": lambda found, _: found["steps"].reverse(),
    "another name": lambda found, _: found["steps"][1].update(name="Another step"),
    "tolerance": lambda found, _: found["risk_method"].update(tolerance="extreme"),
}


@pytest.mark.parametrize("change", CHANGES.values(), ids=CHANGES)
def test_hazards_controls_ratings_and_categories_count(change):
    assert digest(_changed(change)) != digest(content())


def test_words_that_a_reviewer_typed_count_to_the_letter():
    def typed(hours):
        values = {"why": f"The job takes {hours} hours."}
        return content(
            overrides=[Override(Action.EDIT, "job/fatigue", REASON, values=values)]
        )

    assert digest(typed(63)) != digest(typed(64))


def test_words_that_a_reviewer_left_alone_count_as_before():
    values = {"name": "Falling off the new roof"}
    edit = Override(Action.EDIT, "lay_sheets/fall_from_height", REASON, values=values)
    longer = job(*PATIO_TASKS, quantities={"exposed_edge_height": 2.66})
    before = content(overrides=[edit])
    assert digest(content(longer, overrides=[edit])) == digest(before)


REASON = "Talked through with the crew."


def test_a_fact_that_nobody_knows_counts_as_not_known():
    assert counted("site.slab_slope_pct", None) is None
    unknown = replace(PATIO, site={**PATIO.site, "slab_slope_pct": None})
    assert digest(content(unknown)) != digest(content())


def test_two_figures_that_read_the_same_count_the_same():
    assert counted("task.work_height_m", 2.7) == counted("task.work_height_m", 2.7004)
    assert counted("task.work_height_m", 2.71) == 2.8


def test_every_figure_of_the_library_was_given_a_thought():
    """A figure that counts exactly changes with every rounding: few may."""
    places = {
        fact
        for hazard in library().hazards
        for text in (
            *(hazard.name, *(reason.says for reason in hazard.reasons)),
            *(step.says for step in hazard.raises),
            *(control.text for control in hazard.controls),
        )
        for fact in text.facts()
        if not fact.startswith(("site.", "dimensions."))
    }
    exact = {fact for fact in places if counted(fact, 1.234) == 1.234}
    assert exact == {
        "exposure.hearing_class",
        "exposure.noise_figures",
        "exposure.vibration_figures",
        "exposure.wind_beaufort",
        "exposure.wind_judged_ms",
        "job.heat_limit",
        "job.heat_rest",
        "job.heat_rest_new",
        "job.season",
        "job.work_load",
        "quantities.footing_count",
        "quantities.post_count",
        "task.crew_min",
        "task.heaviest_piece",
        "task.lift_people",
        "task.wind_limit_ms",
    }


def test_a_figure_that_does_not_count_leaves_a_mark_in_the_sentence():
    (line,) = (row for row in line_contents(content()) if row["key"] == "job/fatigue")
    assert UNCOUNTED in line["counts"]["reasons"][0]
    assert FACTS["job.person_minutes"].unit == "min"
