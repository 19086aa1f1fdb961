"""Hazards written as YAML and read again: nothing is lost on the way."""

from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from jobs.domain.holds import Basis
from jobs.domain.roles import Role
from jobs.domain.sources import Seen, Source
from jobs.domain.tools import Power
from safety.domain.condition_files import falls_as_it_worsens
from safety.domain.conditions import (
    EDGES,
    Always,
    Both,
    Not,
    Op,
    Place,
    Rule,
    Test,
)
from safety.domain.fact_names import FACTS, TASK_ONLY
from safety.domain.hierarchy import Level
from safety.domain.library import (
    Control,
    Hazard,
    HazardLibrary,
    Raise,
    Reason,
    Scope,
    SourceRef,
)
from safety.domain.library_files import load_library
from safety.domain.library_text import rewritten
from safety.domain.library_writer import library_yaml
from safety.domain.plan import When
from safety.domain.risk import Effect
from safety.domain.templates import Template
from safety.domain.traces import Joint, Outcome
from tests.safety.domain.rules import texts, words

SENTENCES = st.text(
    st.characters(codec="utf-8", exclude_characters="{}"), min_size=1, max_size=40
).map(lambda text: " ".join(text.split()) or "no")
KEYS = st.from_regex(r"[a-z][a-z0-9_]{0,11}", fullmatch=True)
NUMBERS = st.floats(-1e9, 1e9, allow_nan=False).map(lambda value: value + 0.0)
STEPS = st.integers(1, 5)
UNKNOWN = st.sampled_from(Outcome)
EDGED = sorted(key for key, edge in words().pack_edges.items() if edge)
RULES = sorted(words().pack_edges)
LISTS = {
    "task.kind": sorted(words().task_kinds),
    "job.task_kinds": sorted(words().task_kinds),
    "task.tools": sorted(words().tools),
    "job.tools": sorted(words().tools),
}


def some(values):
    return st.frozensets(st.sampled_from(sorted(values)), min_size=1, max_size=3)


def facts(scope):
    names = sorted(FACTS)
    if scope is Scope.JOB:
        names = [name for name in names if not name.startswith(TASK_ONLY)]
    return st.sampled_from(names)


@st.composite
def asks(draw, scope):
    fact = draw(facts(scope))
    op = draw(st.sampled_from(Op))
    if op in EDGES:
        wanted = draw(NUMBERS)
    elif op in (Op.IN, Op.HAS):
        wanted = draw(some(LISTS.get(fact, [power.value for power in Power])))
    elif op is Op.PAST:
        wanted = draw(st.sampled_from(EDGED))
    elif op is Op.UNKNOWN:
        wanted = True
    else:
        wanted = draw(st.booleans() | KEYS.filter(lambda w: w not in ("true", "false")))
    return Test(fact, op, wanted, draw(UNKNOWN))


def conditions(scope):
    leaves = (
        asks(scope)
        | some(words().places).map(Place)
        | st.sampled_from(RULES).map(Rule)
        | st.just(Always())
    )
    return st.recursive(
        leaves,
        lambda inner: (
            inner.map(Not)
            | st.builds(
                Both,
                st.sampled_from([Joint.ALL, Joint.ANY]),
                st.lists(inner, min_size=1, max_size=3).map(tuple),
            )
        ),
        max_leaves=5,
    )


def rising(scope):
    return conditions(scope).filter(
        lambda condition: not falls_as_it_worsens(condition, words().pack_edges)
    )


def templates(scope):
    places = facts(scope).map("{{{}}}".format) | st.sampled_from(RULES).map(
        "{{pack:{}}}".format
    )
    return st.builds(lambda text, place: Template(f"{text} {place}"), SENTENCES, places)


SOURCES = st.builds(
    SourceRef, st.sampled_from(Basis).map(Source), st.sampled_from(RULES)
) | st.builds(
    lambda basis, publisher, clause, url, seen, second: SourceRef(
        Source(basis, publisher, clause, url, seen, second)
    ),
    st.sampled_from(Basis),
    SENTENCES,
    SENTENCES,
    st.sampled_from(["", "https://example.org/a"]),
    st.sampled_from(Seen),
    st.booleans(),
)


@st.composite
def controls(draw, scope):
    return Control(
        key=draw(KEYS),
        text=draw(templates(scope)),
        level=draw(st.sampled_from(Level)),
        effect=Effect(draw(st.integers(0, 4)), draw(st.integers(0, 4))),
        who=draw(st.sampled_from(Role)),
        when=draw(st.sampled_from(When)),
        check=draw(SENTENCES),
        source=draw(SOURCES),
        ask=draw(st.just("") | SENTENCES),
        condition=draw(st.none() | conditions(scope)),
    )


@st.composite
def hazards(draw):
    scope = draw(st.sampled_from(Scope))
    reasons = st.builds(Reason, templates(scope), st.none() | conditions(scope))
    raises = st.builds(Raise, rising(scope), templates(scope), STEPS, STEPS)
    return Hazard(
        key=draw(KEYS),
        name=draw(templates(scope)),
        theme="test",
        scope=scope,
        harm=draw(SENTENCES),
        condition=draw(rising(scope)),
        reasons=tuple(draw(st.lists(reasons, max_size=2))),
        likelihood=draw(STEPS),
        consequence=draw(STEPS),
        raises=tuple(draw(st.lists(raises, max_size=2))),
        source=draw(SOURCES),
        controls=tuple(draw(st.lists(controls(scope), min_size=1, max_size=2))),
        topics=tuple(draw(st.lists(KEYS, max_size=2))),
        no_higher_control=draw(SENTENCES),
        off=draw(st.just("") | SENTENCES),
    )


def keys_of(found):
    return [k for h in found for k in (h.key, *(c.key for c in h.controls))]


LIBRARIES = st.lists(hazards(), min_size=1, max_size=2).filter(
    lambda found: len(keys_of(found)) == len(set(keys_of(found)))
)


def read(text):
    return load_library({"a.yaml": text}, words())


@settings(max_examples=40)
@given(LIBRARIES)
def test_what_is_written_reads_as_the_same_library(found):
    assert read(library_yaml("test", found)) == HazardLibrary(tuple(found))


@pytest.mark.parametrize("name", sorted(texts("hazards")))
def test_every_shipped_file_can_be_written_and_read(name):
    hazards = read(texts("hazards")[name]).hazards
    written = library_yaml(hazards[0].theme, hazards)
    assert read(written).hazards == hazards


@pytest.mark.parametrize("name", sorted(texts("hazards")))
def test_a_text_in_which_nothing_changes_stays_as_it_is(name):
    text = texts("hazards")[name]
    hazards = read(text).hazards
    assert rewritten(text, hazards[0].theme, hazards, words()) == text


@settings(max_examples=20)
@given(st.data())
def test_lines_of_hazards_that_did_not_change_stay(data):
    name = data.draw(st.sampled_from(sorted(texts("hazards"))))
    text = texts("hazards")[name]
    hazards = read(text).hazards
    kept = data.draw(st.permutations(hazards))[: data.draw(st.integers(1, 9))]
    changed = [replace(kept[0], harm="Changed."), *kept[1:]]
    new = rewritten(text, hazards[0].theme, changed, words())
    assert read(new).hazards == tuple(changed)
    lines = set(text.splitlines())
    for hazard in kept[1:]:
        assert f"  - key: {hazard.key}" in new.splitlines()
    extra = [line for line in new.splitlines() if line not in lines]
    assert extra, "the changed harm is a new line"
    assert len(extra) < 20 + 30 * len(hazards[0].controls)


def test_comments_outside_the_changed_hazard_stay():
    text = texts("hazards")["falls.yaml"]
    hazards = read(text).hazards
    changed = [replace(hazards[0], harm="Changed."), *hazards[1:]]
    new = rewritten(text, "falls", changed, words())
    comments = [line for line in text.splitlines() if line.lstrip().startswith("#")]
    assert comments
    assert [
        line for line in new.splitlines() if line.lstrip().startswith("#")
    ] == comments


def test_a_text_laid_out_otherwise_is_written_anew():
    hazards = read(texts("hazards")["weather.yaml"]).hazards
    flow = "{theme: weather, hazards: []}"
    assert read(rewritten(flow, "weather", hazards, words())).hazards == hazards
