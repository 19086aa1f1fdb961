"""Refusals are the solver's own reasons: enough to say no, and none of them too many."""

from random import Random

import pytest

from scheduling.domain.conflicts import along
from scheduling.domain.disruptions import disrupted
from scheduling.domain.engine import solve
from scheduling.domain.explain import Explainer
from scheduling.domain.random_firms import FirmSize, busy_firm
from tests.scheduling.domain.solver_core import ALWAYS, SolverCore

QUESTIONS = 25  # of each firm
FIRMS = [(seed, wrong) for seed in range(1, 5) for wrong in (False, True)]


@pytest.mark.parametrize(("seed", "wrong"), FIRMS)
def test_solver_and_explainer_give_the_same_reasons(seed, wrong):
    problem = busy_firm(FirmSize(10, 3, 0.6), seed)
    booked = solve(problem, step_budget=1000, deadline_s=60).bookings
    if wrong:
        problem = disrupted(problem, booked, seed)
        booked = solve(problem, step_budget=1000, deadline_s=60).bookings
    why, core, draw = Explainer(problem, booked), SolverCore(problem, booked), Random(1)
    for _ in range(QUESTIONS):
        job = draw.choice(problem.jobs)
        at = draw.randrange(200)
        for answer in why.why_not(job.key, problem.calendar.slot(at)):
            agrees(why, core, job, answer, at)


def agrees(why, core, job, answer, at):
    """Either way round: what we name suffices, and the solver's reason is among it."""
    asked, index = (job, answer.crew, at), why.jobs[job.key]
    named = {refusal.kind for refusal in answer.refusals} - ALWAYS
    found = core.core(*asked, count=1)
    if found is None:
        stuck = None
        with why.book.without(index):
            first = why.book.compiled.jobs[index].visits[0]
            stuck = along(why.book, index, answer.crew, fixed={first: at})[1]
        assert answer.possible == (stuck is None)
        later(core, asked, why, stuck)
        return
    assert not answer.possible
    assert {kind for _, kind in found} <= named
    for kind in named:
        assert core.contradicts(*asked, 1, [(job.visits[0].key, kind)])


def later(core, asked, why, stuck):
    """The job may begin there, but gets stuck in a later visit, or not at all."""
    job, crew, _ = asked
    if stuck is None:
        assert core.core(*asked, count=len(job.visits)) is None
        return
    key = why.book.records[stuck.visit].key
    place = [visit.key for visit in job.visits].index(key)
    assert core.core(*asked, count=place) is None
    before = [
        (visit.key, kind)
        for visit in job.visits[:place]
        for kind in core.rules(job, visit, crew)
    ]
    named = [(key, rule.kind) for rule in stuck.rules if rule.kind not in ALWAYS]
    assert core.contradicts(*asked, place + 1, before + named)
    for rule in named:
        fewer = [other for other in named if other != rule]
        assert not core.contradicts(*asked, place + 1, before + fewer)
