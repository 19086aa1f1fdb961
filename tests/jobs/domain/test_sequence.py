from graphlib import CycleError, TopologicalSorter

import pytest
from hypothesis import given
from hypothesis import strategies as st

from jobs.domain.methods import Link, TaskSpec
from jobs.domain.refusals import Refused
from jobs.domain.sequence import (
    check_links,
    find_cycle,
    in_order,
    moved,
    needed,
    relinked,
    with_task,
    without_task,
)


def task(key, *after, only_if=""):
    links = tuple(link if isinstance(link, Link) else Link(link) for link in after)
    name = key.capitalize()
    return TaskSpec(key, "set_out", name, links, "job", 10.0, only_if=only_if)


CURE = Link("pour", 168.0, why="concrete")
JOB = (
    task("dig"),
    task("stand", "dig"),
    task("pour", "stand"),
    task("lift", CURE),
    task("roof", "lift"),
)


def keys(tasks):
    return [t.key for t in tasks]


def links_of(tasks, key):
    return next(t.links for t in tasks if t.key == key)


def test_no_loop_in_an_ordinary_sequence():
    assert find_cycle({t.key: [k.after for k in t.links] for t in JOB}) is None
    assert check_links(JOB) == []


def test_a_loop_is_told_in_the_order_of_work():
    assert find_cycle({"a": ["c"], "b": ["a"], "c": ["b"]}) == ("a", "b", "c", "a")


def test_relinking_into_a_loop_is_refused_and_named():
    with pytest.raises(Refused) as refused:
        relinked(JOB, "dig", [Link("roof")])
    (says,) = refused.value.reasons
    assert says == (
        "These tasks would wait for each other in a loop: "
        '"Dig" → "Stand" → "Pour" → "Lift" → "Roof" → "Dig". '
        "Take out one of these links."
    )


def test_a_task_cannot_wait_for_itself():
    with pytest.raises(Refused, match='"Dig" would wait for itself'):
        relinked(JOB, "dig", [Link("dig")])


def test_a_link_to_nothing_is_refused():
    with pytest.raises(
        Refused, match='waits for "paint", which is not in the sequence'
    ):
        relinked(JOB, "dig", [Link("paint")])


def test_relinking_keeps_the_list_in_an_order_that_works():
    changed = relinked(JOB, "lift", [])
    changed = relinked(changed, "stand", [Link("lift")])
    assert keys(changed) == ["dig", "lift", "stand", "pour", "roof"]


def test_removing_a_task_links_its_neighbours_through():
    left = without_task(JOB, "stand")
    assert links_of(left, "pour") == (Link("dig"),)


def test_removing_the_pour_takes_its_cure_away():
    assert links_of(without_task(JOB, "pour"), "lift") == (Link("stand"),)


def test_removing_the_lift_keeps_the_cure_before_the_roof():
    assert links_of(without_task(JOB, "lift"), "roof") == (CURE,)


def test_the_longest_of_two_waits_stays():
    short = Link("pour", 24.0, why="sealant")
    tasks = (*JOB[:4], task("roof", "lift", short))
    assert links_of(without_task(tasks, "lift"), "roof") == (CURE,)


def test_a_task_is_added_where_asked():
    added = with_task(JOB, task("brace", "stand"), 2)
    assert keys(added) == ["dig", "stand", "brace", "pour", "lift", "roof"]


def test_a_task_added_too_early_comes_after_what_it_waits_for():
    assert keys(with_task(JOB, task("brace", "lift"), 0))[-2:] == ["brace", "roof"]


def test_a_key_is_added_once():
    with pytest.raises(Refused, match='already a task with the key "dig"'):
        with_task(JOB, task("dig"), 0)


def test_moving_within_the_links_is_allowed():
    tasks = (*JOB, task("sign"))
    assert keys(moved(tasks, "sign", 0))[0] == "sign"


@pytest.mark.parametrize(("key", "place"), [("lift", 0), ("stand", 4)])
def test_moving_against_the_links_is_refused(key, place):
    with pytest.raises(Refused, match="so it cannot come before it"):
        moved(JOB, key, place)


def test_an_unknown_task_is_refused():
    with pytest.raises(Refused, match='no task "paint"'):
        without_task(JOB, "paint")


def test_tasks_that_the_dimensions_do_not_call_for_fall_away(taken_off):
    taken = taken_off["attached_flat"]
    tasks = (
        task("dig", only_if="footing_count"),
        task("drill", only_if="slab_hole_count"),
        task("stand", "dig", "drill"),
    )
    left = needed(tasks, taken)
    assert keys(left) == ["drill", "stand"]
    assert links_of(left, "stand") == (Link("drill"),)


GRAPHS = st.dictionaries(
    st.sampled_from("abcdef"), st.lists(st.sampled_from("abcdef"), max_size=3)
)


@given(GRAPHS)
def test_loops_agree_with_the_standard_library(graph):
    try:
        TopologicalSorter(graph).prepare()
        has_loop = False
    except CycleError:
        has_loop = True
    loop = find_cycle(graph)
    assert (loop is not None) == has_loop
    for before, after in zip(loop or (), (loop or ())[1:], strict=False):
        assert before in graph[after]


@given(GRAPHS)
def test_every_task_comes_after_all_it_waits_for(graph):
    names = "abcdef"
    tasks = tuple(
        task(k, *(a for a in graph.get(k, []) if a < k)) for k in reversed(names)
    )
    seen: set[str] = set()
    for one in in_order(tasks):
        assert {link.after for link in one.links} <= seen
        seen.add(one.key)
    assert seen == set(names)
