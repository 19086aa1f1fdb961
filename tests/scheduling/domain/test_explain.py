"""Answers to "why", each checked against the plan it is about."""

from dataclasses import replace
from datetime import date

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from scheduling.domain.checker import violations
from scheduling.domain.engine import solve
from scheduling.domain.explain import Explainer
from scheduling.domain.problem import After, Away, Ready, Ticket
from scheduling.domain.rules import RuleKind
from scheduling.domain.solution import Booking
from tests.scheduling.domain.firms import am, crew, firm, job, people, pm, visit
from tests.scheduling.domain.random_problems import random_problem


def explained(problem):
    solution = solve(problem, deadline_s=5, step_budget=500)
    return Explainer(problem, solution.bookings)


def test_every_rule_that_says_no_is_named_with_when_it_says_yes():
    ready = Ready(am(6), "council approval")
    gone = crew(1, 1, 2, away=(Away(am(4), pm(4), "training"),))
    why = explained(firm(job(1, visit(10), ready=(ready,)), crews=(gone,)))
    (answer,) = why.why_not(1, am(4))
    assert [(r.kind, r.says, r.yes_from) for r in answer.refusals] == [
        (RuleKind.READY, "Waits for: council approval.", am(6)),
        (RuleKind.AWAY, "crew 1 is away (training).", am(5)),
    ]


def test_a_start_that_nothing_forbids_is_possible():
    answers = explained(firm(job(1, visit(10)))).why_not(1, am(17))
    assert [answer.possible for answer in answers] == [True]


def test_each_crew_has_its_own_answer():
    staff = (*people(2), *people(4, tickets=(Ticket("dogging"),))[2:])
    crews = (crew(1, 1, 2), crew(2, 3, 4))
    lifted = job(1, visit(10, tickets=("dogging",)))
    first, second = explained(firm(lifted, staff=staff, crews=crews)).why_not(1, am(4))
    assert first.refusals[0].kind is RuleKind.TICKET
    assert first.refusals[0].yes_from is None
    assert second.possible


def test_a_crew_that_is_away_is_not_said_to_lack_a_ticket_too():
    staff = people(2, tickets=(Ticket("dogging"),))
    crews = (crew(1, 1, 2, away=(Away(am(3), pm(4), "flu"),)),)
    problem = firm(job(1, visit(10, tickets=("dogging",))), crews=crews, staff=staff)
    (answer,) = explained(problem).why_not(1, am(3))
    assert [refusal.kind for refusal in answer.refusals] == [RuleKind.AWAY]


def test_a_crew_that_could_start_but_not_finish_is_told_so():
    ends = people(2, tickets=(Ticket("dogging", expires=date(2026, 8, 7)),))
    last = visit(11, 2, tickets=("dogging",), after=(After(10),))
    why = explained(firm(job(1, visit(10), last), staff=ends))
    (answer,) = why.why_not(1, am(6))
    assert answer.refusals[0].says.startswith("Then for “visit 11”:")


def test_a_day_nobody_works_is_refused():
    with pytest.raises(ValueError, match="not worked"):
        explained(firm(job(1, visit(10)))).why_not(1, am(8))


def test_the_chain_leads_back_to_the_certificate():
    ready = Ready(am(6), "the engineer's certificate")
    first = job(1, visit(10), ready=(ready,), promised=date(2026, 8, 7))
    second = job(2, visit(20), ready=(ready,), promised=date(2026, 8, 21))
    chain = explained(firm(first, second)).decides(2)
    assert [(cause.kind, cause.job) for cause in chain] == [
        (RuleKind.BOOKED, 2),
        (RuleKind.READY, 1),
    ]
    assert chain[-1].says == "Waits for: the engineer's certificate."


def test_what_would_help_says_by_when_and_how_much():
    ready = Ready(am(12), "the engineer's certificate")
    (help_,) = explained(firm(job(1, visit(10), ready=(ready,)))).helps(1)
    assert help_.kind is RuleKind.READY
    assert help_.needed_by == am(3)
    assert help_.done == pm(4)
    assert help_.half_days_sooner == 14


def test_another_crew_may_help():
    # Crew 2 lives far away, and nobody has asked for a date.
    crews = (crew(1, 1, 2, away=(Away(am(3), pm(14), "away"),)), crew(2, 3, 4))
    far = {(1, 1): 10, (2, 1): 10}
    problem = firm(job(1, visit(10)), crews=crews, travel_min=far)
    booking = Booking(10, 1, 1, am(17), pm(18), 4, tentative=False, why="")
    offers = Explainer(problem, [booking]).helps(1)
    assert "crew 2 does it instead." in {offer.says for offer in offers}


def test_nothing_is_said_about_a_job_that_is_not_in_the_plan():
    why = Explainer(firm(job(1, visit(10))), [])
    assert why.decides(1) == ()
    assert why.helps(1) == ()


@settings(max_examples=40)
@given(st.integers(0, 100_000), st.integers(0, 60), st.data())
def test_yes_means_the_checker_finds_nothing_and_no_means_it_does(seed, day, data):
    problem = random_problem(seed)
    solution = solve(problem, deadline_s=5, step_budget=100)
    # A job of one visit, so that nothing else has to move along.
    alone = [job for job in problem.jobs if len(job.visits) == 1]
    booked = solution.by_visit()
    alone = [job for job in alone if job.visits[0].key in booked]
    if not alone:
        return
    asked = data.draw(st.sampled_from(alone))
    start = problem.calendar.slot(day % (len(problem.calendar) - 12))
    for answer in Explainer(problem, solution.bookings).why_not(asked.key, start):
        moved = moved_booking(problem, booked[asked.visits[0].key], answer.crew, start)
        rest = [b for b in solution.bookings if b.visit != moved.visit]
        assert answer.possible == (not violations(problem, [*rest, moved]))


def moved_booking(problem, booking, crew_key, start):
    """The booking elsewhere, with the first length the checker accepts."""
    first = problem.calendar.index(start)
    tried = None
    for halves in range(1, 13):
        last = problem.calendar.slot(first + halves - 1)
        tried = replace(booking, crew=crew_key, start=start, last=last, halves=halves)
        if not violations(problem, [tried]):
            return tried
    return tried
