"""Conditions as rows of a form, and rows as conditions: the same comes back."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from safety.domain.condition_rows import (
    Group,
    Join,
    Row,
    RowsRefused,
    Sheet,
    asks_of,
    condition_of,
    falling_rows,
    fitting,
    rows_in,
    sheet_of,
)
from safety.domain.conditions import EDGES, Both, Not, Op, Test
from safety.domain.fact_kinds import SUBJECTS, Kind, by_subject
from safety.domain.fact_names import FACTS
from safety.domain.library import Scope
from safety.domain.traces import Joint
from safety.queries.condition_choices import asked_of
from tests.safety.domain.rules import library, words
from tests.safety.domain.test_library_writer import conditions

NUMBERS = st.floats(-1e9, 1e9, allow_nan=False).map(repr).filter(lambda n: "e" not in n)


def shipped():
    """Every condition of the shipped library with where it stands."""
    for hazard in library().hazards:
        inside = [("when", hazard.condition)]
        inside += [(f"why{n}", r.condition) for n, r in enumerate(hazard.reasons)]
        inside += [(f"worse{n}", r.condition) for n, r in enumerate(hazard.raises)]
        inside += [(one.key, one.condition) for one in hazard.controls]
        for what, condition in inside:
            yield pytest.param(
                hazard.scope, condition, id=f"{hazard.scope}-{hazard.key}-{what}"
            )


@pytest.mark.parametrize(("scope", "condition"), list(shipped()))
def test_every_shipped_condition_fits_into_rows_and_comes_back(scope, condition):
    known = asked_of(scope)
    sheet = sheet_of(condition, known)
    assert sheet is not None
    assert condition_of(sheet, known) == condition


@settings(max_examples=100)
@given(st.data())
def test_a_condition_comes_back_the_same_or_stays_a_text(data):
    scope = data.draw(st.sampled_from(Scope))
    known = asked_of(scope)
    condition = data.draw(conditions(scope))
    sheet = sheet_of(condition, known)
    assert sheet is None or condition_of(sheet, known) == condition


@st.composite
def rows(draw, known):
    asked = draw(st.sampled_from([known[key] for key in sorted(known)]))
    op = draw(st.sampled_from(asks_of(asked)))
    if op is Op.PAST and not asked.limits:
        op = Op.MORE_THAN
    negated = draw(st.sampled_from(["", "not_"]))
    unknown = draw(st.sampled_from(["", "holds", "fails"]))
    if asked.name.startswith("@"):
        unknown = ""
    return Row(asked.name, f"{negated}{op}", draw(values(asked, op)), unknown)


def values(asked, op):
    one = st.just(tuple[str, ...]())
    if op in EDGES:
        one = NUMBERS.map(lambda number: (number,))
    elif op is Op.PAST:
        one = st.sampled_from(sorted(asked.limits)).map(lambda key: (key,))
    elif op in (Op.IN, Op.HAS):
        keys = st.sampled_from(sorted(asked.choices))
        one = st.frozensets(keys, min_size=1).map(lambda keys: tuple(sorted(keys)))
    elif asked.kind is Kind.FLAG and op is Op.IS:
        one = st.sampled_from([("yes",), ("no",)])
    elif asked.kind is Kind.TEXT and op is Op.IS:
        one = st.sampled_from([("a nail gun",), ("nothing",)])
    elif op is Op.IS and asked.choices:
        one = st.sampled_from(sorted(asked.choices)).map(lambda key: (key,))
    return one


@st.composite
def sheets(draw, known):
    row = rows(known)
    joins = st.sampled_from(Join)
    groups = st.builds(Group, joins, st.lists(row, min_size=1, max_size=3).map(tuple))
    items = draw(st.lists(row | groups, max_size=4).map(tuple))
    return Sheet(draw(joins), items)


@settings(max_examples=100)
@given(st.data())
def test_rows_that_are_filled_in_read_as_a_condition_that_gives_them_again(data):
    known = asked_of(data.draw(st.sampled_from(Scope)))
    sheet = data.draw(sheets(known))
    condition = condition_of(sheet, known)
    again = sheet_of(condition, known)
    assert again is not None, "what a form can say, it can show"
    assert condition_of(again, known) == condition
    assert len(list(rows_in(again))) == len(list(rows_in(sheet)))


TASK = asked_of(Scope.TASK)
DEEP = Both(
    Joint.ALL,
    (Both(Joint.ANY, (Both(Joint.ALL, (Test("job.gable", Op.IS, wanted=True),)),)),),
)


@pytest.mark.parametrize(
    "condition",
    [
        DEEP,
        Not(Both(Joint.ALL, (Test("job.gable", Op.IS, wanted=True),) * 2)),
        Not(Not(Test("job.gable", Op.IS, wanted=True))),
        Both(Joint.ALL, (Test("job.gable", Op.IS, wanted=True),)),
        Test("site.ground", Op.IS, wanted="lava"),
        Test("site.ground", Op.MORE_THAN, wanted=3.0),
        Test("job.max_work_height_m", Op.PAST, wanted="noise.lex8h"),
    ],
)
def test_what_has_no_rows_stays_a_text(condition):
    assert sheet_of(condition, TASK) is None


HEIGHT = Row("task.work_height_m", "more_than", ("2",))


@pytest.mark.parametrize(
    ("row", "says"),
    [
        (Row(), "Choose what this row asks about"),
        (Row("task.work_height_m", "is", ("2",)), "Choose what is asked"),
        (Row("task.work_height_m", "more_than", ()), "Type the number"),
        (Row("task.work_height_m", "more_than", ("two",)), "such as 4.2"),
        (Row("task.work_height_m", "more_than", ("1e3",)), "such as 4.2"),
        (Row("task.work_height_m", "past", ()), "Choose a limit"),
        (Row("task.work_height_m", "past", ("noise.lex8h",)), "Choose a limit"),
        (Row("job.attached", "is", ()), "Choose yes or no"),
        (Row("site.ground", "in", ()), "Tick at least one"),
        (Row("site.ground", "in", ("lava",)), "Tick some of the list"),
        (Row("task.name", "is", (" ",)), "Type the words"),
        (Group(), "Add a row to this group"),
    ],
)
def test_what_is_wrong_is_said_of_the_row_it_is_wrong_in(row, says):
    with pytest.raises(RowsRefused) as refused:
        condition_of(Sheet(Join.ALL, (HEIGHT, row)), TASK)
    (fault,) = refused.value.faults
    assert fault.at == (1,)
    assert says in fault.says


def test_faults_inside_a_group_have_both_numbers_and_all_are_said():
    sheet = Sheet(Join.ALL, (Row(), Group(Join.ANY, (HEIGHT, Row()))))
    with pytest.raises(RowsRefused) as refused:
        condition_of(sheet, TASK)
    assert [fault.at for fault in refused.value.faults] == [(0,), (1, 1)]


def test_a_fact_of_a_step_is_refused_for_the_whole_job():
    with pytest.raises(RowsRefused, match="not to the whole job"):
        condition_of(Sheet(Join.ALL, (HEIGHT,)), asked_of(Scope.JOB))


@pytest.mark.parametrize(
    ("join", "ask", "falls"),
    [
        (Join.ALL, "more_than", False),
        (Join.ALL, "less_than", True),
        (Join.ALL, "not_more_than", True),
        (Join.NONE, "more_than", True),
        (Join.NONE, "less_than", False),
    ],
)
def test_a_row_that_would_end_the_hazard_as_things_get_worse_is_named(join, ask, falls):
    row = Row("task.work_height_m", ask, ("2",))
    sheet = Sheet(join, (Group(Join.ANY, (row,)),))
    found = falling_rows(sheet, TASK, words().pack_edges)
    assert [fault.at for fault in found] == ([(0, 0)] if falls else [])


def test_another_fact_keeps_what_still_answers():
    row = Row("task.longest_lift_m", "at_least", ("3.5",))
    assert fitting(row, "task.work_height_m", TASK) == row
    asked = Row("site.ground", "at_least", ("3.5",))
    assert fitting(asked, "task.work_height_m", TASK) == Row("site.ground", "in", ())


def test_every_fact_stands_under_one_subject_and_sentences_are_not_offered():
    placed = by_subject(TASK.values())
    named = [entry.name for entries in placed.values() for entry in entries]
    assert sorted(named) == sorted(TASK)
    assert set(placed) == set(SUBJECTS.values())
    assert FACTS.keys() <= TASK.keys()
    assert not TASK["task.name"].offered


@pytest.mark.parametrize(
    ("fact", "kind", "unknown"),
    [
        ("site.overhead_line", Kind.FLAG, True),
        ("site.building_year", Kind.NUMBER, True),
        ("site.near_traffic", Kind.FLAG, False),
        ("site.ground", Kind.WORD, False),
        ("dimensions.frame", Kind.WORD, False),
        ("dimensions.on_footings", Kind.FLAG, False),
        ("task.tools", Kind.WORDS, False),
        ("quantities.post_count", Kind.NUMBER, False),
    ],
)
def test_the_kind_of_a_fact_is_that_of_its_field(fact, kind, unknown):
    entry = TASK[fact]
    assert (entry.kind, entry.may_be_unknown) == (kind, unknown)


def test_a_height_is_held_against_limits_of_length_only():
    limits = TASK["task.work_height_m"].limits
    assert "falls.statement_height" in limits
    assert "more than 2 m" in limits["falls.statement_height"]
    assert "noise.lex8h" not in limits
    assert "asbestos.presumed_before" in TASK["site.building_year"].limits
