"""Looking at some facts of a step only: each is what it is among all of them."""

from datetime import date

import pytest

from safety.domain.conditions import Op, Test, judge
from safety.domain.engine import holding, settings_of
from safety.domain.fact_names import FACTS
from safety.domain.library import Scope
from safety.domain.views import Bench, job_facts, task_facts
from tests.safety.domain.jobs import PATIO
from tests.safety.domain.rules import library, rule_book, tools

ON = date(2026, 8, 10)


@pytest.mark.parametrize("name", sorted(FACTS))
def test_a_fact_by_itself_is_the_one_among_all(name):
    of_job, bench = job_facts(PATIO, ON, tools()), Bench(tools())
    for task in PATIO.tasks:
        whole = task_facts(task, of_job, bench)
        alone = task_facts(task, of_job, bench, only={name})
        assert alone.get(name) == whole.get(name)


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
