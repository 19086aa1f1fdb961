"""May we start? The answer in a word."""

import pytest

from jobs.domain.holds import Basis, Hold, Stops
from jobs.domain.roles import Role
from safety.domain.obligations import CHECK_MISSING, CHECK_NO_GO, SIGN_ON_MISSING
from safety.domain.verdict import Kind, Morning, verdict

TASKS = {1: "Dig the footings", 2: "Stand the posts"}


def hold(rule="approval.missing", *, tasks=()):
    return Hold(
        rule=rule,
        job_id=7,
        says="It is not back.",
        stops=frozenset({Stops.TASKS if tasks else Stops.WORK}),
        cleared_by=frozenset({Role.OFFICE}),
        clear_by_doing="ring them.",
        basis=Basis.LAW,
        task_ids=frozenset(tasks),
    )


def answer(*holds, **known):
    found = verdict(holds, Morning(TASKS, **known))
    return found.kind, found.word


@pytest.mark.parametrize(
    ("rules", "word"),
    [
        ([CHECK_MISSING], "Not yet"),
        ([CHECK_MISSING, SIGN_ON_MISSING], "Not yet"),
        ([CHECK_NO_GO], "No"),
        (["approval.missing", CHECK_MISSING], "No"),
    ],
)
def test_what_stops_all_work_comes_first(rules, word):
    holds = [hold(rule) for rule in rules]
    assert answer(*holds, outcome="go") == (Kind.STOP, word)


def test_it_is_never_yes_while_nobody_has_checked():
    assert answer()[0] is Kind.STOP
    assert answer(booked=False)[0] is Kind.IDLE
    assert answer(called_off=True)[0] is Kind.IDLE


def test_yes_after_a_check_that_says_go():
    assert answer(outcome="go") == (Kind.CLEAR, "Yes")
    assert answer(outcome="go_with_changes") == (Kind.CAREFUL, "Yes, with changes")


def test_a_held_task_of_today_is_named():
    found = verdict([hold(tasks=[2])], Morning(TASKS, outcome="go"))
    assert (found.kind, found.says) == (Kind.CAREFUL, "Held: “Stand the posts”.")


def test_a_held_task_of_another_day_is_not():
    assert answer(hold(tasks=[3]), outcome="go") == (Kind.CLEAR, "Yes")


def test_with_every_task_held_it_is_no():
    assert answer(hold(tasks=[1, 2]), outcome="go") == (Kind.STOP, "No")
