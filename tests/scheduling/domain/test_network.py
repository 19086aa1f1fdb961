"""The critical path of small networks, and against a second program."""

import networkx
import pytest
from hypothesis import given
from hypothesis import strategies as st

from scheduling.domain.network import Cycle, Precedence, critical_path, in_order
from scheduling.domain.pert import ThreePoint, chance_within


def test_a_chain_is_as_long_as_its_tasks_and_lags():
    path = critical_path({"a": 2, "b": 3}, [Precedence("a", "b", lag=1.5)])
    assert path.length == 6.5
    assert path.chain == ("a", "b")


def test_the_shorter_branch_has_the_float():
    links = [Precedence("a", "c"), Precedence("b", "c")]
    path = critical_path({"a": 5, "b": 2, "c": 1}, links)
    assert path.times["b"].total_float == 3
    assert path.times["b"].free_float == 3
    assert not path.times["b"].critical
    assert path.times["a"].critical


def test_free_float_ends_where_total_float_is_shared():
    links = [Precedence("b", "d"), Precedence("d", "c"), Precedence("a", "c")]
    path = critical_path({"a": 9, "b": 2, "d": 2, "c": 1}, links)
    assert path.times["b"].total_float == 5
    assert path.times["b"].free_float == 0
    assert path.times["d"].free_float == 5


def test_tasks_that_wait_for_each_other_are_shown():
    links = [Precedence("a", "b"), Precedence("b", "c"), Precedence("c", "a")]
    with pytest.raises(Cycle) as caught:
        critical_path({"a": 1, "b": 1, "c": 1}, links)
    assert set(caught.value.keys) == {"a", "b", "c"}
    assert "→" in str(caught.value)


def test_nothing_to_do_takes_no_time():
    assert critical_path({}, []).length == 0
    assert critical_path({}, []).chain == ()


def test_order_puts_every_task_behind_what_it_waits_for():
    links = [Precedence("roof", "frame"), Precedence("frame", "posts")]
    assert in_order(["posts", "frame", "roof"], links) == ("roof", "frame", "posts")


networks = st.integers(2, 9).flatmap(
    lambda n: st.tuples(
        st.lists(st.integers(0, 9), min_size=n, max_size=n),
        st.sets(
            st.tuples(st.integers(0, n - 1), st.integers(0, n - 1)).filter(
                lambda pair: pair[0] < pair[1]
            )
        ),
    )
)


@given(networks)
def test_the_length_is_the_longest_path_of_another_program(network):
    durations, pairs = network
    graph = networkx.DiGraph()
    for task, length in enumerate(durations):
        graph.add_edge((task, "start"), (task, "end"), weight=length)
    graph.add_edges_from([((a, "end"), (b, "start")) for a, b in pairs], weight=0)
    path = critical_path(
        dict(enumerate(durations)), [Precedence(a, b) for a, b in pairs]
    )
    assert path.length == networkx.dag_longest_path_length(graph)
    assert sum(durations[task] for task in path.chain) == path.length


def test_a_three_point_estimate_runs_from_best_to_worst():
    with pytest.raises(ValueError, match="best to worst"):
        ThreePoint(3, 2, 4)


def test_a_chain_without_spread_is_sure():
    assert chance_within(5, [ThreePoint(5, 5, 5)]) == 1.0
    assert chance_within(4.9, [ThreePoint(5, 5, 5)]) == 0.0
