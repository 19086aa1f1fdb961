"""What the explainer says no to, the solver finds no way for, and the other way round."""

from random import Random

from hypothesis import example, given, settings
from hypothesis import strategies as st

from scheduling.domain.cpsat.verdict import Verdict
from scheduling.domain.engine import solve
from scheduling.domain.explain import Explainer
from tests.scheduling.domain.firms import am, firm, job, visit
from tests.scheduling.domain.random_problems import random_problem

QUESTIONS = 12


def test_a_day_after_the_published_one_is_possible_and_one_in_the_past_is_not():
    problem = firm(job(1, visit(10)), now=am(5))
    verdict = Verdict(problem, solve(problem, step_budget=10).bookings)
    before, after = (problem.calendar.index(am(day)) for day in (4, 6))
    assert not verdict.may_start(1, 1, before)
    assert verdict.may_start(1, 1, after)


@settings(max_examples=40, deadline=None)
@given(st.integers(0, 1_000_000))
@example(231)  # two visits of one job that do not wait for each other, one crew
@example(1786)  # a visit with one place to be, of a job that is not in the plan
def test_explainer_and_solver_agree(seed):
    problem, draw = random_problem(seed), Random(seed)
    booked = solve(problem, deadline_s=20, step_budget=200).bookings
    why, verdict = Explainer(problem, booked), Verdict(problem, booked)
    for row in draw.sample(booked, min(QUESTIONS, len(booked))):
        at = draw.randrange(len(problem.calendar))
        asked = next(job for job in problem.jobs if job.key == row.job)
        for answer in why.why_not(row.job, problem.calendar.slot(at)):
            found = verdict.may_start(row.job, answer.crew, at)
            if answer.possible or in_a_row(asked):
                assert answer.possible == found


def in_a_row(asked):
    """One crew, each visit after the one before: no other order might do better."""
    after = [{link.visit for link in visit.after} for visit in asked.visits]
    linked = (a.key in waits for a, waits in zip(asked.visits, after[1:], strict=False))
    return asked.one_crew and all(linked)
