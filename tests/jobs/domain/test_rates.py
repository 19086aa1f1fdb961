"""What hours that came back say of rates, whatever the hours are."""

from math import exp, log

import pytest
from hypothesis import given
from hypothesis import strategies as st

from jobs.domain.credibility import Structure, unbiased_structure
from jobs.domain.rates import GUESS, Evidence, evidence, is_in_doubt, learn

figures = st.lists(st.floats(-1.5, 1.5), max_size=12)
groups = st.dictionaries(st.sampled_from("abcdef"), figures, max_size=6)


@given(groups)
def test_a_rate_lies_between_its_own_mean_and_that_of_all(found):
    learned = learn(found)
    for kind, row in found.items():
        believed = learned.about(kind)
        low, high = sorted((believed.mean, learned.collective))
        assert low - 1e-9 <= believed.estimate <= high + 1e-9
        assert 0 <= believed.trust < 1
        assert believed.count == len(row)


@given(groups)
def test_what_all_show_lies_between_the_library_and_the_tasks(found):
    every = [figure for row in found.values() for figure in row]
    low, high = min([0, *every]), max([0, *every])
    assert low - 1e-9 <= learn(found).collective <= high + 1e-9


def test_without_hours_the_library_stands():
    assert learn({}).about("lay_sheets").estimate == 0
    assert evidence(learn({}), {}) == ()


def test_more_of_the_same_hours_count_for_more():
    trusts = [learn({"a": [0.4] * n, "b": [0.0] * 3}).about("a") for n in (1, 3, 9)]
    assert trusts[0].trust < trusts[1].trust < trusts[2].trust
    assert trusts[0].estimate < trusts[1].estimate < trusts[2].estimate < 0.4


def test_hours_that_scatter_count_for_less():
    steady = learn({"a": [0.4, 0.41, 0.39, 0.4]}).about("a")
    wild = learn({"a": [1.6, -0.8, 1.2, -0.4]}).about("a")
    assert steady.mean == pytest.approx(wild.mean)
    assert wild.trust < steady.trust


def test_a_kind_without_hours_follows_the_others_part_of_the_way():
    learned = learn({"a": [0.3] * 8, "b": [0.3] * 8})
    assert 0.1 < learned.about("c").estimate < 0.3
    assert learned.about("c").next_spread > learned.about("a").next_spread


def test_few_figures_give_no_wild_structure():
    found = learn({"a": [0.0, 0.0], "b": [0.0, 0.0]}).structure
    assert found.within > 0.5 * GUESS.within
    assert found.between > 0
    with pytest.raises(ValueError, match="two groups"):
        unbiased_structure({"a": [1.0, 2.0]})
    assert isinstance(found, Structure)


def test_a_rate_is_proposed_once_there_is_enough_to_go_by():
    slow = [log(1.5)] * 3
    (few,) = evidence(learn({"a": slow[:2]}), {})
    (enough,) = evidence(learn({"a": slow}), {})
    assert not few.is_proposed
    assert enough.is_proposed
    assert 1 < enough.proposed < 1.5
    assert enough.mean_ratio == pytest.approx(1.5)


def test_a_rate_near_enough_is_left_alone():
    (found,) = evidence(learn({"a": [log(1.5)] * 30}), {"a": 1.47})
    assert not found.is_proposed
    assert isinstance(found, Evidence)


def test_what_can_be_gained_most_comes_first():
    hours = {"near": [0.02] * 5, "far": [0.5] * 9, "mid": [0.25] * 9}
    order = [found.kind for found in evidence(learn(hours), {})]
    assert order[:2] == ["far", "mid"]


@given(st.floats(0.11, 9.9))
def test_hours_ten_times_off_are_a_slip(ratio):
    assert not is_in_doubt(100 * ratio, 100)
    assert is_in_doubt(100 * exp(2.4), 100)
    assert is_in_doubt(100 * exp(-2.4), 100)
