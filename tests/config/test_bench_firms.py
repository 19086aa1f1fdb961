"""The measurements on invented firms, on very small ones."""

import pytest

from config.bench import firm, plan
from config.bench.answers import ask
from config.bench.firms import COST, FAMILIES, compare
from config.bench.mending import FEW, Delay, delays, mended, pushed
from scheduling.domain.cpsat.solve import solve
from scheduling.domain.disruptions import disrupted
from scheduling.domain.random_firms import FirmSize

SMALL = FirmSize(8, 2, 0.6)


@pytest.fixture(scope="module")
def small():
    return FAMILIES["busy"].make(SMALL, 2)


@pytest.fixture(scope="module")
def booked(small):
    return solve(small, policy=COST, seed=1, step_budget=3000).bookings


def test_our_plan_stands_beside_those_of_the_rules(small):
    found = compare(small, 1.0, 1, print)
    assert found.ours.cost <= found.fast.cost <= found.office.cost
    assert found.ours.cost == found.solution.cost[1]
    row = list(plan.table([(8, 2, found)]))[4]
    assert row.startswith("8, 2 ")
    assert f"{found.office.cost / found.ours.cost:.2f}×" in row


def test_pushing_everything_right_and_mending_mend_the_same_plan(small, booked):
    wrong = disrupted(small, booked, seed=1)
    right, ours = pushed(wrong), mended(wrong, seconds=1.0, seed=1)
    assert right.moved > 0
    assert ours.moved > 0
    assert ours.figures.unplaced == right.figures.unplaced == 0


def test_a_delayed_job_is_not_counted_among_the_others(small, booked):
    (delay,) = delays(small, booked, seed=1, seconds=0.5, times=1)
    assert 0 <= delay.moved < SMALL.jobs
    assert delay.moved > FEW or delay.spared is None


def test_a_delay_that_moves_many_says_what_that_spares():
    assert str(Delay(2, 10)) == "2"
    assert "9 (sparing 61 half-days" in str(Delay(9, 10, spared=61))


def test_answers_are_timed_and_checked(small, booked):
    answers = ask(small, booked, seed=1)
    assert 0 < answers.slow_ms <= max(answers.ms)
    assert answers.agreed == answers.verdicts >= len(answers.ms)


def test_firms_are_told_one_by_one_and_together():
    told: list[str] = []
    small = {"jobs": 5, "crews": 2, "seconds": 0.3, "seed": 1, "firms": 2}
    how = {"mend": 0.3, "delays": 1, "family": "busy", "load": None}
    firm.run({**small, **how}, told.append)
    assert [line for line in told if "seed" in line] == [
        "5 jobs, 2 crews, seed 1 …",
        "5 jobs, 2 crews, seed 2 …",
    ]
    assert "2 firms: office ÷ ours" in told[-2]
