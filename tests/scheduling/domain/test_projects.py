"""Plain projects: read, scheduled, improved and proven, and never a fault."""

from random import Random

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from scheduling.domain.budget import Budget
from scheduling.domain.cpsat.projects import solve, solve_plainly
from scheduling.domain.network import Cycle
from scheduling.domain.projects.improve import Improving
from scheduling.domain.projects.project import Project, faults, floor
from scheduling.domain.projects.serial import Serial, construct

# On two pieces: the second task needs both, the third waits for the first.
TIGHT = Project((3, 2, 2), ((1,), (2,), (1,)), (2,), ((2,), (), ()))


def random_project(seed, most=14):
    """A few tasks on up to three resources; some tasks take no time or no resource."""
    draw = Random(seed)
    count, kinds = draw.randint(1, most), draw.randint(1, 3)
    capacities = tuple(draw.randint(1, 9) for _ in range(kinds))
    demands = tuple(
        tuple(draw.choice((0, draw.randint(0, c))) for c in capacities)
        for _ in range(count)
    )
    followers = tuple(
        tuple(t for t in range(task + 1, count) if draw.random() < 0.2)
        for task in range(count)
    )
    lengths = tuple(draw.choice((0, draw.randint(1, 8))) for _ in range(count))
    return Project(lengths, demands, capacities, followers)


@settings(max_examples=150)
@given(st.integers(0, 1_000_000))
def test_no_schedule_has_a_fault_and_each_is_no_longer_than_the_last(seed):
    project = random_project(seed, most=30)
    at_once = construct(project)
    walk = Improving(project, at_once, Random(seed))
    for _ in range(40):
        walk.step()
    assert list(faults(project, at_once)) == []
    assert list(faults(project, walk.best)) == []
    assert floor(project) <= walk.makespan <= project.makespan(at_once)


@settings(max_examples=25)
@given(st.integers(0, 1_000_000))
def test_two_models_prove_the_same_makespan(seed):
    project = random_project(seed)
    ours, bare = solve(project, 20.0), solve_plainly(project, 20.0)
    assert ours.proven
    assert bare.proven
    assert ours.makespan == bare.makespan
    assert list(faults(project, ours.starts)) == []
    assert list(faults(project, bare.starts)) == []


def test_each_task_starts_as_soon_as_there_is_room():
    assert Serial(TIGHT, 7).schedule([0, 1, 2]) == (0, 3, 5)
    assert Serial(TIGHT, 7).schedule([0, 2, 1]) == (0, 5, 3)
    assert Serial(TIGHT, 6).schedule([0, 1, 2]) is None


def test_a_schedule_with_faults_is_told_so():
    assert list(faults(TIGHT, (0, 0, 2))) == [
        "task 3 begins before task 1 is done",
        "period 0: 3 of resource 1",
        "period 1: 3 of resource 1",
    ]


def test_a_walk_ends_with_its_time():
    project = random_project(3)
    walk = Improving(project, construct(project), Random(1))
    walk.run(Budget(0.0), floor=0)
    assert walk.best == construct(project)


def test_projects_that_cannot_be_are_refused():
    with pytest.raises(ValueError, match="task 1 needs more than there is"):
        Project((1,), ((3,),), (2,), ((),))
    with pytest.raises(Cycle):
        Project((1, 1), ((1,), (1,)), (2,), ((1,), (0,)))
