"""Any job of any structure, over the whole range of dimensions that can be typed in."""

from dataclasses import replace
from datetime import date

from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from jobs.domain.facts import digest
from jobs.domain.site_facts import Access, ExistingRoof, Ground
from safety.domain.conditions import judge, outcome_of
from safety.domain.engine import hazard_plan, settings_of
from tests.jobs.domain.test_take_off_properties import jobs
from tests.safety.domain.jobs import SITE
from tests.safety.domain.rules import packs, rule_book
from tests.safety.domain.test_shipped_methods import facts

DAYS = st.dates(date(2026, 1, 1), date(2027, 12, 31))
PLACES = st.sampled_from(sorted(packs()))
ANY = settings(max_examples=30, suppress_health_check=[*HealthCheck])


def maybe(figures):
    """A figure, or nobody has found out."""
    return st.none() | figures


@st.composite
def sites(draw):
    """A site of any kind, with gaps in what is known of it."""
    return replace(
        SITE,
        existing_roof=draw(st.sampled_from(ExistingRoof)),
        ground=draw(st.sampled_from(Ground)),
        access=draw(st.sampled_from(Access)),
        building_year=draw(maybe(st.integers(1850, 2026))),
        overhead_line=draw(maybe(st.booleans())),
        overhead_line_distance_m=draw(maybe(st.floats(0, 30))),
        overhead_line_kv=draw(maybe(st.floats(0.2, 500))),
        carry_distance_m=draw(maybe(st.floats(0, 80))),
        neighbour_distance_m=draw(maybe(st.floats(0, 50))),
        near_traffic=draw(st.booleans()),
        buried_services_known=draw(maybe(st.booleans())),
        power_on_site=draw(st.booleans()),
    )


def facts_of(job, site):
    structure, dims = job
    return facts(structure, dims, site)


@ANY
@given(job=jobs(), site=sites(), place=PLACES, day=DAYS)
def test_every_task_has_a_hazard_and_every_hazard_a_control(job, site, place, day):
    found = hazard_plan(facts_of(job, site), rule_book(place), day)
    assert found.uncovered_tasks() == ()
    for line in found.lines:
        assert line.controls, line.key
        assert line.why, line.key
        assert line.residual.rank <= line.initial.rank, line.key


@ANY
@given(job=jobs(), site=sites(), place=PLACES, day=DAYS)
def test_no_sentence_has_an_empty_place(job, site, place, day):
    found = hazard_plan(facts_of(job, site), rule_book(place), day)
    for line in found.lines:
        words = " ".join((line.name, line.why, *(c.text for c in line.controls)))
        for bad in ("{", "}", "None", "nan", " inf "):
            assert bad not in words, (line.key, words)


@ANY
@given(job=jobs(), site=sites(), place=PLACES, day=DAYS)
def test_the_same_job_twice_is_the_same_plan_and_digest(job, site, place, day):
    once, again = facts_of(job, site), facts_of(job, site)
    assert digest(once) == digest(again)
    book = rule_book(place)
    assert hazard_plan(once, book, day) == hazard_plan(again, book, day)


@ANY
@given(job=jobs(), site=sites(), place=PLACES, day=DAYS)
def test_what_a_condition_comes_to_is_what_its_trace_says(job, site, place, day):
    book = rule_book(place)
    conditions = {
        part.condition
        for hazard in book.library.hazards
        for part in (hazard, *hazard.raises, *hazard.reasons, *hazard.controls)
        if part.condition is not None
    }
    for setting in settings_of(facts_of(job, site), book, day).values():
        for condition in conditions:
            trace = judge(condition, setting)
            assert outcome_of(condition, setting) is trace.outcome, condition
