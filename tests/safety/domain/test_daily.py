"""Questions of the daily check."""

from datetime import date

from safety.domain.daily import About, questions
from safety.domain.engine import hazard_plan
from safety.domain.statement import StatementHeader, statement_content
from tests.safety.domain.jobs import PATIO
from tests.safety.domain.rules import rule_book


def asked(*tasks):
    rules = rule_book()
    plan = hazard_plan(PATIO, rules, date(2026, 8, 10))
    header = StatementHeader("J-1", "Somewhere", "Flat roof", "Testfield Patios")
    made = statement_content(plan, header, rules.pack, rules.risk.matrix)
    return questions(made, tasks)


def test_people_weather_and_access_are_asked_every_day():
    abouts = {question.about for question in asked()}
    assert {About.PEOPLE, About.WEATHER, About.ACCESS} <= abouts


def test_today_s_steps_bring_their_controls():
    keys = {question.key for question in asked("lay_sheets")}
    assert "fall_edge_protection" in keys
    assert "silica_extraction" not in keys
    assert "silica_extraction" in {q.key for q in asked("drill_slab")}


def test_a_control_of_two_steps_is_asked_once_and_names_both():
    found = [
        q for q in asked("remove_existing", "fix_brackets") if q.key == "ladder_set"
    ]
    assert [q.steps for q in found] == [("remove_existing", "fix_brackets")]
    assert len(found[0].lines) == 2


def test_controls_of_the_whole_job_are_asked_whatever_is_done():
    assert "help_plan" in {question.key for question in asked()}


def test_keys_are_unique_and_texts_are_questions():
    found = asked("lay_sheets", "drill_slab", "lift_beams")
    assert len({question.key for question in found}) == len(found)
    assert all(question.text.endswith("?") for question in found)
