"""Looking at some facts of a step only: each is what it is among all of them."""

from datetime import date

import pytest

from safety.domain.conditions import Op, Test, judge
from safety.domain.engine import holding, settings_of
from safety.domain.fact_kinds import Kind
from safety.domain.fact_names import FACTS
from safety.domain.library import Scope
from safety.domain.views import Bench, job_facts, task_facts
from safety.queries.condition_choices import asked_of
from tests.safety.domain.jobs import PATIO
from tests.safety.domain.rules import library, rule_book, tools
from tests.safety.domain.test_shipped_methods import STRUCTURES, method

ON = date(2026, 8, 10)


@pytest.mark.parametrize("name", sorted(FACTS))
def test_a_fact_by_itself_is_the_one_among_all(name):
    bench = Bench(tools())
    of_job = job_facts(PATIO, ON, bench)
    for task in PATIO.tasks:
        whole = task_facts(task, of_job, bench)
        alone = task_facts(task, of_job, bench, only={name})
        assert alone.get(name) == whole.get(name)


def kinds_of(value):
    """The kinds that a fact with this value may be of."""
    if isinstance(value, bool):
        return {Kind.FLAG}
    if isinstance(value, frozenset):
        return {Kind.WORDS}
    if isinstance(value, str):
        return {Kind.WORD, Kind.TEXT}
    return {Kind.NUMBER}


@pytest.mark.parametrize("name", sorted(FACTS))
def test_the_form_knows_what_each_fact_is(name):
    entry = asked_of(Scope.TASK)[name]
    settings = settings_of(PATIO, rule_book(), ON)
    for setting in settings.values():
        value = setting.facts.get(name)
        if value is None:
            continue
        assert entry.kind in kinds_of(value), value
        if entry.kind is Kind.WORD:
            assert value in entry.choices
        if entry.kind is Kind.WORDS:
            assert isinstance(value, frozenset)
            assert value <= entry.choices.keys()


def test_a_condition_holds_in_the_steps_that_its_hazard_is_in():
    book = rule_book()
    settings = settings_of(PATIO, book, ON)
    names = {task.key: task.name for task in PATIO.tasks}
    for hazard in library().hazards:
        found = holding(hazard.condition, hazard.scope, PATIO, book, ON)
        judged = {key: judge(hazard.condition, s) for key, s in settings.items()}
        wanted = [
            names.get(key, "Whole job")
            for key, trace in judged.items()
            if trace.outcome.bites and (key == "") == (hazard.scope is Scope.JOB)
        ]
        assert [name for name, _ in found] == wanted, hazard.key


def test_a_condition_of_the_whole_job_is_asked_once():
    height = Test("job.max_work_height_m", Op.MORE_THAN, 0.5)
    (found,) = holding(height, Scope.JOB, PATIO, rule_book(), ON)
    assert found[0] == "Whole job"


@pytest.mark.parametrize("structure", STRUCTURES)
def test_what_a_shipped_step_needs_can_be_ticked(structure):
    known = asked_of(Scope.TASK)
    for task in method(structure).tasks:
        assert known["task.materials"].choices.keys() >= set(task.materials)
        assert known["task.tickets"].choices.keys() >= set(task.tickets)
        assert known["task.kind"].choices.keys() >= {task.kind}
        lifted = {lift.piece for lift in task.lifts}
        assert known["task.pieces_lifted"].choices.keys() >= lifted
