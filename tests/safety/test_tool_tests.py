"""The firm lists its tools on a lead; an overdue, failed or missing test holds tasks."""

from datetime import date, timedelta
from importlib import import_module
from typing import Any

import pytest
from django.apps import apps
from django.core.exceptions import PermissionDenied

from jobs.domain.holds import Basis
from jobs.domain.refusals import Refused
from jobs.domain.roles import Role
from jobs.hold_registry import holds
from jobs.models import LedgerEntry, Site
from jobs.queries import the_firm
from jobs.queries.holds import record_url
from safety.domain.obligations import CellState, Obligation, obligation_of
from safety.models import ToolItem, ToolTest
from safety.queries.evidence import known_too_early
from safety.services.judging import judge_moment
from safety.services.tool_tests import (
    list_tool,
    record_tool_test,
    switch_tool_tests,
    take_back_tool_test,
    unlist_tool,
)
from safety.services.work import start_task
from tests.safety.conftest import text_of
from tests.safety.test_compliance import cell_of

pytestmark = pytest.mark.usefixtures("library", "morning")
MONDAY = date(2026, 8, 3)
HOUR = timedelta(hours=1)
GOOD_DAY, LONG_AGO = date(2026, 7, 1), date(2026, 4, 1)


@pytest.fixture
def hammer(oscar, before):
    return list_tool(kind="rotary_hammer", name="Hammer 1", actor=oscar, at=before)


@pytest.fixture
def drilling(booked):
    """The job with a task that uses the rotary hammer booked on Monday."""
    task = next(t for t in booked.tasks.all() if "rotary_hammer" in used(t))
    booked.visits.first().tasks.add(task)
    return task


def used(task):
    return {use["tool"] for use in task.spec["tools"]}


@pytest.fixture
def tested(oscar, before):
    """Write a test of a tool down."""

    def put(item, day, at=before, **values):
        plain: dict[str, Any] = {"tested_by": "Ty Tester", "tag": "T-1", "passed": True}
        return record_tool_test(
            item=item, tested_on=day, actor=oscar, at=at, **(plain | values)
        )

    return put


def tool_holds(job, at):
    return [one for one in holds([job], at)[job.pk] if one.rule.startswith("tool.")]


def rules_of(job, at):
    return [hold.rule for hold in tool_holds(job, at)]


def test_a_firm_that_lists_no_tools_is_asked_for_nothing(drilling, booked, now):
    assert tool_holds(booked, now) == []


def test_a_tool_without_a_test_holds_the_tasks_that_use_it(
    hammer, drilling, booked, now
):
    (hold,) = tool_holds(booked, now)
    assert hold.rule == "tool.test.missing"
    assert drilling.pk in hold.task_ids
    today = booked.visits.first().tasks.all()
    assert hold.task_ids == {t.pk for t in today if "rotary_hammer" in used(t)}
    assert hold.basis is Basis.LAW  # model WHS Regulations, by the pack of the site
    assert hold.cleared_by == {Role.OFFICE}
    assert not hold.stops_work()
    assert "“Hammer 1” has no electrical test on record" in hold.says
    assert "tested and tagged by a competent person" in hold.clear_by_doing
    assert record_url(hold.record) == f"/tools/list/{hammer.pk}/"
    assert obligation_of(hold.rule) is Obligation.TOOLS


def test_a_good_test_clears_it_and_a_past_moment_still_shows_it(
    hammer, drilling, booked, tested, now
):
    tested(hammer, LONG_AGO)
    (hold,) = tool_holds(booked, now)
    assert hold.rule == "tool.test.overdue"
    assert hold.since == date(2026, 7, 1)
    assert "ran out on Wed 1 Jul 2026" in hold.says
    tested(hammer, MONDAY, at=now + HOUR)
    assert tool_holds(booked, now + HOUR) == []
    yesterday = now - timedelta(days=1)  # booked within the week, and not tested then
    assert rules_of(booked, yesterday) == ["tool.test.overdue"]


def test_a_failed_test_holds_and_a_test_taken_back_counts_until_then(
    hammer, drilling, booked, tested, oscar, now
):
    tested(hammer, GOOD_DAY)
    failed = tested(hammer, date(2026, 7, 20), passed=False)
    assert rules_of(booked, now) == ["tool.test.failed"]
    take_back_tool_test(test=failed, why="Another hammer.", actor=oscar, at=now)
    assert tool_holds(booked, now) == []
    assert rules_of(booked, now - HOUR) == ["tool.test.failed"]
    assert ToolTest.objects.count() == 2  # nothing is lost


def test_it_is_seen_a_week_ahead_and_no_sooner(hammer, drilling, booked, tested, now):
    tested(hammer, date(2026, 5, 2))  # good until the day before the booking
    assert rules_of(booked, now - timedelta(days=2)) == ["tool.test.overdue"]
    item = ToolItem.objects.get(pk=hammer.pk)
    ToolItem.objects.filter(pk=item.pk).update(added_at=now - timedelta(days=90))
    assert rules_of(booked, now - timedelta(days=10)) == []


def test_a_tool_off_the_list_holds_nothing_from_then_on(
    hammer, drilling, booked, oscar, now
):
    unlist_tool(item=hammer, why="Sold.", actor=oscar, at=now)
    assert tool_holds(booked, now) == []
    assert rules_of(booked, now - HOUR) == ["tool.test.missing"]


def test_the_law_of_the_site_decides_the_label(hammer, drilling, booked, now, site):
    Site.objects.filter(pk=site.pk).update(state="nz")
    (hold,) = tool_holds(booked, now)
    assert hold.basis is Basis.CODE


def test_where_the_law_asks_the_firm_cannot_turn_it_off(oscar, now):
    with pytest.raises(Refused, match="The law asks for these tests here"):
        switch_tool_tests(off=True, version=the_firm().version, actor=oscar, at=now)


def test_where_no_law_asks_the_firm_turns_it_off_from_then_on(
    hammer, drilling, booked, oscar, now, site, firm
):
    Site.objects.filter(pk=site.pk).update(state="nz")
    firm.pack = "nz"
    firm.save(update_fields=["pack"])
    switch_tool_tests(off=True, version=the_firm().version, actor=oscar, at=now)
    later = now + HOUR
    assert tool_holds(booked, later) == []
    assert rules_of(booked, now - HOUR) == ["tool.test.missing"]
    Site.objects.filter(pk=site.pk).update(state="au-nsw")  # law goes first
    assert rules_of(booked, later) == ["tool.test.missing"]


def test_a_test_written_down_late_has_the_past_judged_again(
    hammer, drilling, booked, tested, now, firm
):
    judge_moment(job=booked, moment=now, at=now)
    assert known_too_early(MONDAY, MONDAY, firm) == set()
    tested(hammer, GOOD_DAY, at=now + HOUR)
    assert known_too_early(MONDAY, MONDAY, firm) == {(booked.pk, now)}


@pytest.mark.parametrize(
    ("typed", "says"),
    [
        ({"tested_on": "2026-08-04"}, "still to come"),
        ({"next_due": "2026-12-24"}, "Here a test is good for 3 months"),
        ({"next_due": "2026-07-01"}, "due after this one"),
        ({"tested_by": ""}, "Fill this in"),
    ],
)
def test_a_test_that_cannot_be_is_refused_and_comes_back(
    hammer, page, oscar, typed, says
):
    plain = {"tested_on": "2026-07-01", "tested_by": "Ty Tester", "passed": "yes"}
    answer = page(oscar, "safety:tool_test_add", hammer.pk, data=plain | typed)
    assert answer.status_code == 422
    assert says in text_of(answer)
    assert not ToolTest.objects.exists()


def test_the_office_lists_a_tool_and_writes_its_test_down(page, oscar, sal):
    typed = {"kind": "drop_saw", "name": "Saw 1"}
    assert page(oscar, "safety:tool_item_add", data=typed).status_code == 302
    again = page(oscar, "safety:tool_item_add", data=typed)
    assert "There is a “Saw 1” on the list already" in text_of(again)
    item = ToolItem.objects.get()
    words = text_of(page(oscar, "safety:own_tool_list"))
    assert "Saw 1" in words
    assert "Missing" in words
    test = {
        "tested_on": "2026-07-01",
        "tested_by": "Ty Tester",
        "tag": "T-7",
        "passed": "yes",
    }
    page(oscar, "safety:tool_test_add", item.pk, data=test)
    assert "good until Thu 1 Oct 2026" in text_of(page(oscar, "safety:own_tool_list"))
    seen = text_of(page(sal, "safety:tool_item_detail", item.pk))
    assert "T-7" in seen
    assert "Write a test down" not in seen
    verbs = LedgerEntry.objects.filter(verb__startswith="safety:tool")
    assert verbs.count() == 2


def test_nobody_else_writes(hammer, tested, sal):
    with pytest.raises(PermissionDenied):
        record_tool_test(
            item=hammer,
            tested_on=GOOD_DAY,
            tested_by="Sal",
            passed=True,
            actor=sal,
            at=hammer.added_at,
        )


def test_dates_kept_before_become_tests(firm):
    move = import_module("safety.migrations.0008_tests_from_dates")
    firm.own_tools = {
        "drop_saw": {"noise_dba": 95.0, "source": "Us", "tested_on": "2026-05-03"},
        "breaker": {"tested_on": "2026-06-01"},
    }
    firm.save(update_fields=["own_tools"])
    move.take_over(apps, None)
    firm.refresh_from_db()
    assert firm.own_tools == {"drop_saw": {"noise_dba": 95.0, "source": "Us"}}
    kept = {t.item.kind: t.tested_on for t in ToolTest.objects.select_related("item")}
    assert kept == {"drop_saw": date(2026, 5, 3), "breaker": date(2026, 6, 1)}
    move.give_back(apps, None)
    firm.refresh_from_db()
    assert firm.own_tools["drop_saw"]["tested_on"] == "2026-05-03"


def test_work_with_a_tested_tool_is_met_and_shows_the_test(
    hammer, drilling, booked, tested, sal, now, firm
):
    tested(hammer, GOOD_DAY)
    start_task(task=drilling, actor=sal, at=now, device_at=None)
    found = cell_of(booked, Obligation.TOOLS, now + HOUR, firm)
    assert found.state is CellState.MET
    assert "“Hammer 1” has an electrical test that is good until" in found.says


def test_work_with_an_untested_tool_is_a_breach(
    hammer, drilling, booked, tested, sal, now, firm
):
    start_task(task=drilling, actor=sal, at=now, device_at=None)
    tested(hammer, MONDAY, at=now + HOUR, passed=False)
    found = cell_of(booked, Obligation.TOOLS, now + 2 * HOUR, firm)
    assert found.state is CellState.BREACHED
    assert "may be used" in found.breaches[0].hold.says
