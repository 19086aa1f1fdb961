"""The owner sets when heat stops work; the daily check holds the day against it."""

from datetime import timedelta

import pytest

from jobs.domain.holds import Basis
from jobs.domain.refusals import Refused
from jobs.hold_registry import holds
from jobs.models import LedgerEntry
from jobs.queries import the_firm
from safety.domain.heat_limit import HeatLimit, HeatRule
from safety.domain.obligations import CHECK_HEAT, STATEMENT_STALE
from safety.models import DailyCheck
from safety.services.checks import Weather
from safety.services.heat_limit import set_heat_limit
from tests.safety.conftest import check, plan_now, text_of
from tests.sent_form import own_form

pytestmark = pytest.mark.usefixtures("library", "morning")
PAGE = "safety:heat_limit"
MINUTE = timedelta(minutes=1)
CHANGED = {
    "outcome": DailyCheck.Outcome.GO_WITH_CHANGES,
    "note": "Ground work before ten, then home.",
}
HOT = Weather(temperature_c=36, humidity_pct=40)


@pytest.fixture
def limited(olive, before):
    """Set the firm's limit, from before the statement was issued."""

    def put(rule, limit_degc=None, at=before):
        return set_heat_limit(
            limit=HeatLimit(rule, limit_degc),
            version=the_firm().version,
            actor=olive,
            at=at,
        )

    return put


@pytest.fixture
def air_35(limited):
    return limited(HeatRule.AIR, 35.0)


def heat_holds(job, at):
    return [hold for hold in holds([job], at)[job.pk] if hold.rule == CHECK_HEAT]


def test_the_owner_sets_it_and_the_ledger_keeps_it(olive, page):
    opened = page(olive, PAGE)
    assert "No law we know names a temperature" in text_of(opened)
    form = own_form(opened.text, opened.request["PATH_INFO"])
    assert form is not None
    values = form.values()
    assert values["limit_degc"] == [""]  # no number is put forward
    sent = page(olive, PAGE, data={**values, "rule": "air", "limit_degc": "35"})
    assert sent.status_code == 302
    assert "Work stops when the air is above 35 °C" in text_of(page(olive, PAGE))
    assert LedgerEntry.objects.filter(verb="firm:firm:changed").exists()


def test_a_limit_without_its_number_comes_back_with_what_was_typed(olive, page):
    data = {"rule": "wbgt", "limit_degc": "", "version": the_firm().version}
    answer = page(olive, PAGE, data=data)
    assert answer.status_code == 422
    assert "There is no usual one" in text_of(answer)
    data["limit_degc"] = "99"
    assert "99 °C cannot be right" in text_of(page(olive, PAGE, data=data))
    assert the_firm().heat_limit == {}


def test_nobody_else_may(page, oscar, sal, cam):
    for person in (oscar, sal, cam):
        assert page(person, PAGE).status_code == 403


def test_without_a_limit_nothing_is_asked_and_nothing_held(signed, booked, sal, now):
    check(booked, sal, now, here=[sal], weather=HOT)
    assert heat_holds(booked, now) == []


def test_go_is_refused_above_the_limit(air_35, signed, booked, sal, now):
    with pytest.raises(Refused, match="36 °C is above the firm's heat limit"):
        check(booked, sal, now, here=[sal], weather=HOT)
    at_limit = Weather(temperature_c=35)
    assert check(booked, sal, now, here=[sal], weather=at_limit).pk


def test_go_needs_the_figures(limited, issued, signed, booked, sal, now):
    limited(HeatRule.NO_WORK, at=now - MINUTE)
    with pytest.raises(Refused, match="Type today's highest temperature"):
        check(booked, sal, now, here=[sal])
    with pytest.raises(Refused, match="Type today's highest temperature"):
        check(booked, sal, now, here=[sal], **CHANGED)
    with pytest.raises(Refused, match="Type the humidity at 30 °C"):
        check(booked, sal, now, here=[sal], weather=Weather(temperature_c=30))
    cool = Weather(temperature_c=12)
    assert check(booked, sal, now, here=[sal], weather=cool).pk


def test_no_go_needs_no_figures(air_35, signed, booked, sal, now):
    no_go = DailyCheck.Outcome.NO_GO
    assert check(booked, sal, now, outcome=no_go, note="Too hot by far.").pk


def test_going_with_changes_holds_the_tasks_until_it_is_cooler(
    air_35, signed, booked, sal, now
):
    check(booked, sal, now, here=[sal], weather=HOT, **CHANGED)
    (hold,) = heat_holds(booked, now)
    assert hold.task_ids
    assert hold.basis is Basis.FIRM
    assert not hold.stops_work()
    assert "Work stops when the air is above 35 °C." in hold.says
    later = now + MINUTE
    check(booked, sal, later, here=[sal], weather=Weather(temperature_c=33))
    assert heat_holds(booked, later) == []
    assert heat_holds(booked, now)  # as of the past moment it still stood


def test_a_past_day_is_judged_by_the_limit_it_had(
    air_35, limited, signed, booked, sal, now
):
    check(booked, sal, now, here=[sal], weather=HOT, **CHANGED)
    limited(HeatRule.NONE, at=now + 2 * MINUTE)
    assert heat_holds(booked, now + MINUTE)
    assert heat_holds(booked, now + 3 * MINUTE) == []


def test_digging_stops_before_lighter_work(limited, signed, booked, sal, now):
    limited(HeatRule.NO_WORK, at=now - MINUTE)
    visit = booked.visits.first()
    visit.tasks.set(booked.tasks.all())
    measured = Weather(wbgt_degc=31.0)  # moderate work to 31.5, heavy work to 30.5
    check(booked, sal, now, here=[sal], weather=measured, **CHANGED)
    (hold,) = heat_holds(booked, now)
    keys = {task.key for task in booked.tasks.filter(pk__in=hold.task_ids)}
    assert "dig_footings" in keys
    assert "set_out" not in keys
    assert "A WBGT of 31.0 °C, measured, is above" in hold.says


def test_an_estimate_is_called_one_wherever_it_is_shown(
    limited, signed, booked, sal, now, page
):
    limited(HeatRule.WBGT, 28.0, at=now - MINUTE)
    row = check(booked, sal, now, here=[sal], weather=HOT, **CHANGED)
    (hold,) = heat_holds(booked, now)
    said = "°C, estimated, not measured"
    assert said in hold.says
    shown = text_of(page(sal, "safety:daily_check_detail", row.pk))
    assert said in shown
    assert "full sun and light wind" in shown
    assert said in text_of(page(sal, "safety:site_day_detail", booked.pk))


def test_the_check_page_names_the_limit_and_asks(air_35, signed, booked, sal, page):
    words = text_of(page(sal, "safety:check_add", booked.pk))
    assert "work stops when the air is above 35 °C" in words
    assert "No law gives one" in words
    assert "WBGT measured in the sun" in words


def test_the_plan_of_a_summer_s_job_prints_the_limit(limited, job, summer):
    assert "air is above" not in controls(plan_now(job, summer))
    limited(HeatRule.AIR, 35.0)
    assert "Work stops when the air is above 35 °C." in controls(plan_now(job, summer))


@pytest.fixture
def summer(now):
    return now + timedelta(days=150)


def controls(found):
    """The texts of the control that names the limit."""
    return " ".join(
        control.text
        for line in found.plan.lines
        for control in line.controls
        if control.key == "heat_firm_limit"
    )


def test_a_limit_that_no_line_names_makes_no_statement_stale(
    limited, issued, booked, now
):
    limited(HeatRule.AIR, 35.0, at=now)  # the statement is of winter: heat is no hazard
    open_rules = {hold.rule for hold in holds([booked], now + MINUTE)[booked.pk]}
    assert STATEMENT_STALE not in open_rules
