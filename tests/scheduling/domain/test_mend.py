"""A published plan mended: costs are kept right, and what can go back goes back."""

from dataclasses import replace
from random import Random

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from scheduling.domain.anneal import Cooling
from scheduling.domain.board import Board
from scheduling.domain.budget import Budget
from scheduling.domain.compiling import compile_problem
from scheduling.domain.disruptions import disrupted
from scheduling.domain.engine import solve
from scheduling.domain.mend import Mender, mend
from scheduling.domain.policy import Policy, Term
from scheduling.domain.problem import Pin
from scheduling.domain.random_firms import FirmSize, busy_firm
from scheduling.domain.repair import push_right
from scheduling.domain.scoring import score
from scheduling.domain.tables import Tables
from tests.scheduling.domain.random_problems import random_problem

CALM = Policy.mending()


@pytest.fixture(scope="module")
def monday():
    problem = busy_firm(FirmSize(30, 3, 0.6), 1)
    booked = solve(problem, step_budget=4000, deadline_s=60).bookings
    return Tables(compile_problem(disrupted(problem, booked, 1), CALM))


def test_no_way_into_the_gaps_is_cheaper_than_the_best(monday):
    assert any(monday.plain)
    board = Board(monday).fill(push_right(monday))
    for job in range(len(monday.visits)):
        board.take(job)
        ways = [monday.cost(job, spots) for spots in board.ways(job)]
        best = board.best(job)
        assert best is not None
        assert monday.cost(job, best) == min(ways)
        assert board.best(job, min(ways)) is None
        board.put(job, best)


@settings(max_examples=25)
@given(st.integers(0, 1_000_000))
def test_jobs_of_all_kinds_find_their_cheapest_gap(seed):
    tables = Tables(compile_problem(random_problem(seed)))
    board = Board(tables)
    for job in range(len(tables.visits)):
        ways = [tables.cost(job, spots) for spots in board.ways(job)]
        best = board.best(job)
        assert (best is None) == (not ways)
        if best is not None:
            assert tables.cost(job, best) == min(ways)
            board.put(job, best)


def test_the_running_total_is_what_the_plan_costs(monday):
    mender = Mender(monday, push_right(monday), Random(1))
    for _ in range(300):
        mender.step(heat=800.0)
    costs = [monday.cost(job, mender.board.plan[job]) for job in mender.jobs]
    assert mender.total == sum(costs)
    moved = {job for job in mender.jobs if changes(monday, mender.board.plan[job])}
    assert mender.moved == moved


def test_mending_moves_far_less_than_pushing_right(monday):
    pushed = push_right(monday)
    cooling = Cooling(500.0, 15.0, 3000)
    plan = mend(monday, pushed, cooling, Random(1), Budget(60))
    before, after = (score(monday.compiled, found) for found in (pushed, plan))
    assert after[Term.UNPLACED] == 0
    assert after[Term.CHANGES] < 0.8 * before[Term.CHANGES]
    assert after[Term.PROMISED] < before[Term.PROMISED]


def test_a_job_of_which_every_visit_is_pinned_cannot_move():
    problem = busy_firm(FirmSize(4, 2, 0.6), 3)
    booked = solve(problem, step_budget=500, deadline_s=60).bookings
    pins = tuple(Pin(b.visit, b.crew, b.start) for b in booked if b.job == 2)
    tables = Tables(compile_problem(replace(problem, pins=pins), CALM))
    assert [tables.may_move(job) for job in range(4)] == [True, True, False, True]


def changes(tables, spots):
    return any(
        start != tables.old[visit] or crew != tables.old_crew[visit]
        for visit, crew, start, _ in spots
    )
