"""The office writes down what it knows of the firm's tools; plans reckon with it."""

import json
from datetime import date, timedelta

import pytest
from django.urls import reverse

from jobs.models import LedgerEntry
from jobs.queries import the_firm
from safety.domain.own_tools import OwnTool
from safety.domain.periods import months_later
from safety.queries.plans import draft
from safety.queries.rules import rules_at
from safety.services.own_tools import keep_own_tool
from tests.safety.conftest import text_of

pytestmark = pytest.mark.usefixtures("library", "morning")
LIST, EDIT = "safety:own_tool_list", "safety:own_tool_edit"


@pytest.fixture
def write_down(oscar, page):
    """Send the form of one tool as the office."""

    def send(key, **typed):
        values = {"version": the_firm().version, "source": "Our meter, 3 Aug 2026"}
        return page(oscar, EDIT, key, data={**values, **typed})

    return send


@pytest.fixture
def drilling(job, now):
    """The step with the rotary hammer, and how to read its line about noise."""
    found = draft(job, now, the_firm())
    assert found is not None
    steps = (task for task in found.facts.tasks if "rotary_hammer" in used(task))
    step = next(steps)

    def line():
        fresh = draft(job, now, the_firm())
        assert fresh is not None
        return fresh.plan.line(f"{step.key}/noise")

    return step, line


def used(task):
    return {use.tool for use in task.tools}


def test_a_measured_figure_takes_the_place_of_the_typical_one(write_down, drilling):
    step, line = drilling
    assert "(typical figures)" in line().why
    for key in used(step):
        assert write_down(key, noise_dba="106").status_code == 302
    assert "106" in line().name
    assert "(figures of our own tools)" in line().why


def test_one_measured_tool_of_two_leaves_the_other_typical(write_down, drilling):
    _, line = drilling
    write_down("rotary_hammer", noise_dba="106")
    assert "(some typical figures)" in line().why


def test_a_figure_needs_somebody_who_measured_or_declares_it(write_down):
    answer = write_down("drop_saw", noise_dba="95", source="")
    assert answer.status_code == 422
    assert "Say who measured it" in text_of(answer)
    assert the_firm().own_tools == {}


def test_a_figure_outside_of_what_the_formula_knows_is_refused(write_down):
    assert write_down("drop_saw", noise_dba="190").status_code == 422


def test_the_list_tells_typical_figures_from_our_own(write_down, page, oscar):
    write_down("drop_saw", vibration_ms2="2.2")
    words = text_of(page(oscar, LIST))
    assert "2.2 m/s², our own" in words
    assert "98 dB(A), typical" in words


def test_a_past_day_is_judged_by_the_figures_of_that_day(oscar, now):
    for hours, level in ((0, 101.0), (1, 93.0)):
        keep_own_tool(
            key="rotary_hammer",
            tool=OwnTool(noise_dba=level, source="Our meter"),
            version=the_firm().version,
            actor=oscar,
            at=now + timedelta(hours=hours),
        )
    for hours, level in ((0, 101.0), (1, 93.0)):
        rules = rules_at(now + timedelta(hours=hours), the_firm())
        found = rules.book("au-nsw").bench.measured.noise_dba
        assert found == {"rotary_hammer": level}


def test_what_is_no_longer_known_goes_and_the_ledger_keeps_both(write_down):
    write_down("drop_saw", noise_dba="95")
    write_down("drop_saw", source="")
    assert the_firm().own_tools == {}
    entries = LedgerEntry.objects.filter(verb="firm:firm:changed").order_by("pk")
    kept = [json.loads(entry.payload)["figures"] for entry in entries]
    figures = {"noise_dba": 95.0, "source": "Our meter, 3 Aug 2026"}
    assert kept == [[None, figures], [figures, None]]


def test_somebody_else_s_change_is_not_overwritten(write_down):
    write_down("drop_saw", noise_dba="95")
    assert write_down("circular_saw", noise_dba="99", version=1).status_code == 422


@pytest.mark.parametrize(
    ("tested", "due"),
    [
        (date(2026, 1, 31), date(2026, 4, 30)),
        (date(2026, 11, 30), date(2027, 2, 28)),
        (date(2026, 12, 1), date(2027, 3, 1)),
        (date(2027, 11, 30), date(2028, 2, 29)),
    ],
)
def test_three_months_end_on_the_same_day_or_the_last_of_the_month(tested, due):
    assert months_later(tested, 3) == due


def test_nobody_else_may_change_them_and_the_owner_may_look(page, olive, sal, cam):
    for person in (olive, sal, cam):
        assert page(person, EDIT, "drop_saw").status_code == 403
    assert page(sal, LIST).status_code == page(cam, LIST).status_code == 403
    seen = page(olive, LIST)
    assert seen.status_code == 200
    assert reverse(EDIT, args=["drop_saw"]) not in seen.content.decode()
