"""Ratings before and after controls."""

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from jobs.domain.yaml_lines import LibraryError
from safety.domain.hierarchy import Level
from safety.domain.risk import Effect
from safety.domain.risk_files import load_risk_methods
from tests.safety.domain.rules import risk_methods, text

steps = st.integers(1, 5)
claims = st.lists(
    st.tuples(
        st.sampled_from(list(Level)),
        st.builds(Effect, st.integers(0, 4), st.integers(0, 4)),
    ),
    max_size=12,
)
METHODS = sorted(risk_methods().by_key)


@given(st.sampled_from(METHODS), steps, steps, claims)
def test_controls_never_make_a_rating_worse(key, likelihood, consequence, claimed):
    method = risk_methods().chosen(key)
    initial = method.matrix.rate(likelihood, consequence)
    residual = method.residual(initial, claimed)
    assert residual.likelihood <= initial.likelihood
    assert residual.consequence <= initial.consequence
    assert residual.rank <= initial.rank


@given(steps, steps, claims, claims)
def test_one_more_control_never_makes_it_worse(likelihood, consequence, some, more):
    method = risk_methods().chosen()
    initial = method.matrix.rate(likelihood, consequence)
    assert (
        method.residual(initial, some + more).rank
        <= method.residual(initial, some).rank
    )


def test_five_signs_do_not_add_up_to_a_guard_rail():
    method = risk_methods().chosen()
    initial = method.matrix.rate(5, 4)
    signs = [(Level.ADMINISTRATIVE, Effect(likelihood=1))] * 5
    assert method.residual(initial, signs).likelihood == 4
    rail = [(Level.ENGINEERING, Effect(likelihood=2))]
    assert method.residual(initial, rail).likelihood == 3


def test_protective_equipment_makes_nothing_less_likely():
    method = risk_methods().chosen()
    assert method.allowed(Level.PPE, Effect(3, 3)) == Effect(0, 1)


def test_the_same_harm_is_not_softened_twice():
    method = risk_methods().chosen()
    initial = method.matrix.rate(3, 4)
    both = [(Level.ENGINEERING, Effect(0, 1)), (Level.PPE, Effect(0, 1))]
    assert method.residual(initial, both).consequence == 3


def test_a_hazard_still_in_the_plan_is_not_called_rare():
    method = risk_methods().chosen()
    everything = [(level, Effect(4, 0)) for level in Level]
    assert method.residual(method.matrix.rate(5, 5), everything).likelihood == 2
    assert method.residual(method.matrix.rate(1, 5), everything).likelihood == 1


def test_the_firm_s_tolerance_decides_what_waits():
    matrix = risk_methods().chosen().matrix
    medium, high = matrix.rate(2, 4), matrix.rate(3, 4)
    assert (matrix.words(medium), matrix.words(high)) == (
        "unlikely, major: Medium",
        "possible, major: High",
    )
    assert matrix.tolerates(medium)
    assert not matrix.tolerates(high)
    assert replace(matrix, tolerance="H").tolerates(high)


@pytest.mark.parametrize(
    ("old", "new", "says"),
    [
        ("      - [L, L, L, M, M]\n", "", "5 rows"),
        ("[L, L, L, M, M]", "[L, L, L, M]", "5 grades"),
        ("[L, L, L, M, M]", "[L, L, L, M, X]", 'no grade "X"'),
        ("[L, L, L, M, M]", "[VH, L, L, M, M]", "may not get a lower grade"),
        ("tolerance: M", "tolerance: none", 'no grade "none"'),
        ("default: training_5x5", "default: other", 'no matrix "other"'),
        ("ppe: {consequence: 1}", "ppe: {consequence: 5}", "at most 4 steps"),
        ("    ppe: {consequence: 1}\n", "", 'the key "ppe" is missing'),
        (
            "[rare, unlikely, possible, likely,",
            "[rare, unlikely, likely,",
            "give 5 words",
        ),
    ],
)
def test_a_mistake_in_a_matrix_names_its_line(old, new, says):
    shipped = text("risk_matrices.yaml")
    assert old in shipped
    with pytest.raises(LibraryError, match=r"m\.yaml, line \d+:") as caught:
        load_risk_methods(shipped.replace(old, new, 1), filename="m.yaml")
    assert says in str(caught.value)


@given(st.sampled_from(METHODS), steps, steps)
def test_without_a_control_nothing_gets_better(key, likelihood, consequence):
    method = risk_methods().chosen(key)
    initial = method.matrix.rate(likelihood, consequence)
    assert method.residual(initial, []) == initial
    idle = [(level, Effect()) for level in Level]
    assert method.residual(initial, idle) == initial
