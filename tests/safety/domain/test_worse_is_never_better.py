"""More height, more minutes, a heavier lift: no risk goes down, no hazard goes away."""

from dataclasses import replace
from datetime import date

from hypothesis import given, settings
from hypothesis import strategies as st

from jobs.domain.facts import ToolUse
from safety.domain.condition_files import falls_as_it_worsens
from safety.domain.engine import hazard_plan
from safety.domain.exposures import tasks
from tests.safety.domain.jobs import PATIO, SITE, job, lift, task
from tests.safety.domain.rules import library, rule_book, words

ON = date(2026, 11, 9)
PLACES = st.sampled_from(["au-nsw", "au-qld", "au-sa", "au-vic"])
LOUD = ("angle_grinder", "rotary_hammer", "impact_wrench", "circular_saw", "screw_gun")


def ratings(facts, place):
    found = hazard_plan(facts, rule_book(place), ON)
    return {line.key: line.initial for line in found.lines}


def assert_not_lower(before, after):
    for key, rating in before.items():
        assert key in after, key
        assert after[key].likelihood >= rating.likelihood, key
        assert after[key].consequence >= rating.consequence, key
        assert after[key].rank >= rating.rank, key


def test_no_hazard_of_the_library_is_switched_off_by_things_getting_worse():
    for hazard in library().hazards:
        conditions = (hazard.condition, *(step.condition for step in hazard.raises))
        for condition in conditions:
            assert falls_as_it_worsens(condition, words().pack_edges) == (), hazard.key


@settings(max_examples=60)
@given(
    low=st.floats(0, 8),
    more=st.floats(0, 4),
    kind=st.sampled_from(["lay_sheets", "fix_brackets", "hang_gutter", "final_check"]),
    place=PLACES,
)
def test_more_height(low, more, kind, place):
    step = task(kind, height=low, tools=(ToolUse("ladder", 0.0),))
    higher = replace(step, work_height_m=low + more)
    assert_not_lower(ratings(job(step), place), ratings(job(higher), place))


@settings(max_examples=60)
@given(
    minutes=st.lists(st.floats(0, 900), min_size=len(LOUD), max_size=len(LOUD)),
    more=st.floats(0, 600),
    which=st.integers(0, len(LOUD) - 1),
)
def test_more_minutes_on_a_tool(minutes, more, which):
    longer = [m + more if i == which else m for i, m in enumerate(minutes)]

    def step(times):
        tools = tuple(map(ToolUse, LOUD, times))
        return job(task("drill_slab", tools=tools))

    assert_not_lower(ratings(step(minutes), "au-nsw"), ratings(step(longer), "au-nsw"))


@settings(max_examples=60)
@given(
    mass=st.floats(0.5, 150),
    more=st.floats(0, 100),
    count=st.integers(1, 40),
    extra=st.integers(0, 20),
    piece=st.sampled_from(["beam", "sheet", "gable_frame"]),
    people=st.integers(1, 6),
)
def test_a_heavier_lift_or_more_of_them(mass, more, count, extra, piece, people):
    light = lift(piece, mass, count=count, people=people)
    heavy = replace(light, mass_kg=mass + more, count=count + extra)
    before = job(task("lift_beams", height=1.2, lifts=(light,)))
    after = job(task("lift_beams", height=1.2, lifts=(heavy,)))
    assert_not_lower(ratings(before, "au-nsw"), ratings(after, "au-nsw"))


@settings(max_examples=60)
@given(
    masses=st.lists(st.floats(0.5, 80), min_size=2, max_size=4),
    more=st.floats(0, 60),
    which=st.integers(0, 3),
    counts=st.lists(st.integers(1, 15), min_size=4, max_size=4),
    extra=st.integers(0, 20),
)
def test_one_of_several_lifts_heavier_or_more_often(masses, more, which, counts, extra):
    pieces = ("beam", "sheet", "post", "rafter")
    light = [
        lift(piece, mass, count=count)
        for piece, mass, count in zip(pieces, masses, counts, strict=False)
    ]
    at = which % len(light)
    old = light[at]
    worse = replace(old, mass_kg=old.mass_kg + more, count=old.count + extra)
    heavy = [worse if n == at else one for n, one in enumerate(light)]
    before, after = (task("lift_beams", lifts=tuple(x)) for x in (light, heavy))
    assert tasks.index_together(after) >= tasks.index_together(before) - 1e-9
    assert_not_lower(ratings(job(before), "au-nsw"), ratings(job(after), "au-nsw"))


@settings(max_examples=60)
@given(distance=st.floats(0, 20), nearer=st.floats(0, 20), place=PLACES)
def test_a_nearer_power_line(distance, nearer, place):
    def site(metres):
        return replace(SITE, overhead_line=True, overhead_line_distance_m=metres)

    step = task("lay_sheets", height=2.7)
    before = ratings(job(step, site=site(distance)), place)
    after = ratings(job(step, site=site(max(0.0, distance - nearer))), place)
    assert_not_lower(before, after)


@settings(max_examples=60)
@given(
    voltage=st.floats(0.2, 900),
    more=st.one_of(st.none(), st.floats(0, 400)),
    distance=st.floats(0, 16),
    place=st.sampled_from(["au-nsw", "au-vic", "au-qld", "us", "uk", "nz"]),
)
def test_a_line_of_higher_or_unknown_voltage(voltage, more, distance, place):
    def site(kilovolts):
        line = {"overhead_line": True, "overhead_line_distance_m": distance}
        return replace(SITE, overhead_line_kv=kilovolts, **line)

    step = task("lay_sheets", height=2.7)
    before = ratings(job(step, site=site(voltage)), place)
    higher = None if more is None else voltage + more
    assert_not_lower(before, ratings(job(step, site=site(higher)), place))


@settings(max_examples=40)
@given(st.sets(st.sampled_from(sorted(PATIO.site)), max_size=6))
def test_not_knowing_a_fact_is_never_safer(names):
    forgotten = dict.fromkeys(names) | {"state": "au-nsw"}
    after = replace(PATIO, site={**PATIO.site, **forgotten})
    assert_not_lower(ratings(PATIO, "au-nsw"), ratings(after, "au-nsw"))
