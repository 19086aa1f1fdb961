"""What the explainer says no to, the solver finds no way for, and the other way round."""

from random import Random

import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st

from scheduling.domain.cpsat.verdict import Verdict
from scheduling.domain.engine import solve
from scheduling.domain.explain import Explainer
from tests.scheduling.domain.firms import am, firm, job, visit
from tests.scheduling.domain.random_problems import random_problem
from tests.scheduling.domain.tight_problems import tight_problem

QUESTIONS = 12


def test_a_day_after_the_published_one_is_possible_and_one_in_the_past_is_not():
    problem = firm(job(1, visit(10)), now=am(5))
    verdict = Verdict(problem, solve(problem, step_budget=10).bookings)
    before, after = (problem.calendar.index(am(day)) for day in (4, 6))
    assert not verdict.may_start(1, 1, before)
    assert verdict.may_start(1, 1, after)


@settings(max_examples=40)
@given(st.integers(0, 1_000_000))
@example(231)  # two visits of one job that do not wait for each other, one crew
@example(1786)  # a visit with one place to be, of a job that is not in the plan
def test_explainer_and_solver_agree(seed):
    problem, draw = random_problem(seed), Random(seed)
    booked = solve(problem, deadline_s=20, step_budget=200).bookings
    why, verdict = Explainer(problem, booked), Verdict(problem, booked)
    for row in draw.sample(booked, min(QUESTIONS, len(booked))):
        at = draw.randrange(len(problem.calendar))
        for answer in why.why_not(row.job, problem.calendar.slot(at)):
            found = verdict.may_start(row.job, answer.crew, at)
            assert answer.possible == found


@pytest.mark.parametrize(
    ("seed", "job", "at"),
    [
        (139, 1, 88),  # the third visit before the second, or the calendar ends
        (868, 5, 71),  # the third visit first, while its ticket still counts
        (890, 1, 94),
    ],
)
def test_a_start_that_was_once_refused_wrongly(seed, job, at):
    problem = random_problem(seed)
    booked = solve(problem, deadline_s=20, step_budget=30).bookings
    why, verdict = Explainer(problem, booked), Verdict(problem, booked)
    for answer in why.why_not(job, problem.calendar.slot(at)):
        assert answer.possible == verdict.may_start(job, answer.crew, at)


@settings(max_examples=40)
@given(st.integers(0, 1_000_000))
@example(47)  # with visits in the order of the job, a ticket runs out
@example(57)
def test_they_agree_where_visits_may_go_side_by_side(seed):
    problem = tight_problem(seed)
    why, verdict = Explainer(problem, []), Verdict(problem, [])
    for at in range(len(problem.calendar)):
        for answer in why.why_not(1, problem.calendar.slot(at)):
            assert answer.possible == verdict.may_start(1, answer.crew, at)
