"""What the firm puts first, and rain by month, and what drafts make of them."""

import json
from datetime import date

import pytest
from django.core.exceptions import PermissionDenied, ValidationError
from django.urls import reverse

from jobs.domain.refusals import Stale
from jobs.models import LedgerEntry
from scheduling.domain.policy import Leaning as EngineLeaning
from scheduling.domain.policy import Policy
from scheduling.models import Leaning, PlanChoice
from scheduling.queries.drafts import recipe_of
from scheduling.queries.placing import placing, with_rain
from scheduling.queries.plan_choice import (
    LEANINGS,
    goals_in_order,
    plan_choice,
    rain_months,
)
from scheduling.queries.problem import load_problem
from scheduling.services.drafts import ask_for_draft
from scheduling.services.plan_choice import choose_plan
from scheduling.services.visits import sync_visits
from tests.scheduling.plans import lost_day, slot

MONDAY, WEDNESDAY, FRIDAY = date(2026, 8, 3), date(2026, 8, 5), date(2026, 8, 7)
WET_AUGUST = [0, 0, 0, 0, 0, 0, 0, 40, 0, 0, 0, 0]


def choose(actor, at, version=1, **values):
    return choose_plan(version=version, values=values, actor=actor, at=at)


def test_the_words_are_those_of_the_engine():
    assert {one.label: LEANINGS[one].value for one in Leaning} == {
        engine.value: engine.value for engine in EngineLeaning
    }


def test_drafts_are_made_for_the_choice_and_mending_ones_stay_calm(job, oscar, now):
    choose(oscar, now, leaning=Leaning.NEAR)
    draft = ask_for_draft(actor=oscar, at=now)
    assert recipe_of(draft.pk).policy == Policy.leaning(EngineLeaning.NEAR)
    draft.state = draft.State.DISCARDED
    draft.save()
    mending = recipe_of(ask_for_draft(mends=True, actor=oscar, at=now).pk)
    assert mending.mends
    assert mending.policy == Policy.mending()


def test_goals_stand_in_the_engine_s_order():
    goals = goals_in_order(Leaning.CALM)
    assert goals[:3] == [
        "every job has a place",
        "promised dates",
        "few changes to the published plan",
    ]


def test_a_choice_is_in_the_ledger_and_not_overwritten_unseen(firm, oscar, now):
    choose(oscar, now, leaning=Leaning.CALM)
    entry = LedgerEntry.objects.latest("pk")
    assert (entry.verb, json.loads(entry.payload)) == (
        "firm:plan-choice:changed",
        {"leaning": ["dates", "calm"]},
    )
    with pytest.raises(Stale):
        choose(oscar, now, leaning=Leaning.NEAR)


def test_a_site_lead_does_not_choose(firm, sal, now):
    with pytest.raises(PermissionDenied):
        choose(sal, now, leaning=Leaning.CALM)


@pytest.mark.parametrize("rain", [[1, 2], [0] * 11 + [99], [0] * 11 + ["5"]])
def test_rain_that_makes_no_sense_is_refused(firm, oscar, now, rain):
    with pytest.raises(ValidationError):
        choose(oscar, now, rain_percent=rain)


def test_rain_lengthens_only_what_stops_in_rain(job, blue, firm, oscar, now):
    choose(oscar, now, rain_percent=WET_AUGUST)
    first, second = sync_visits(job=job, actor=oscar, at=now)
    assert load_problem([job], firm, now).problem.rain_percent == tuple(WET_AUGUST)
    dry = placing(first, blue, slot(MONDAY, "pm"), firm, now)
    wet = placing(second, blue, slot(WEDNESDAY), firm, now)
    assert dry.last == slot(WEDNESDAY)  # four half-days
    assert wet.last == slot(date(2026, 8, 6))  # two half-days and one for rain


@pytest.mark.parametrize(
    ("halves", "percent", "taken"), [(4, 0, 4), (2, 40, 3), (10, 20, 12), (10, 50, 20)]
)
def test_a_hand_booking_is_as_long_as_the_engine_s(
    job, blue, firm, oscar, now, halves, percent, taken
):
    choose(oscar, now, rain_percent=[percent] * 12)
    sync_visits(job=job, actor=oscar, at=now)
    problem = load_problem([job], firm, now).problem
    assert with_rain(halves, 0, problem.calendar, problem.rain_percent) == taken


def test_a_day_called_off_does_not_bring_rain_to_dry_work(job, firm, oscar, now):
    choose(oscar, now, rain_percent=WET_AUGUST)
    sync_visits(job=job, actor=oscar, at=now)
    lost_day(FRIDAY, "Gusts", oscar, now)
    dry, wet = load_problem([job], firm, now).problem.jobs[0].visits
    assert (dry.stops_in_rain, wet.stops_in_rain) == (False, True)
    assert [(away.first, away.why) for away in dry.not_begun] == [
        (slot(FRIDAY), "Gusts")
    ]


def test_the_page_shows_the_days_really_lost(client, firm, oscar, now, time_machine):
    time_machine.move_to(now)
    lost_day(MONDAY, "Rain", oscar, now)
    assert rain_months(plan_choice(), MONDAY)[7].lost == 1
    client.force_login(oscar)
    page = client.get(reverse("scheduling:plan_choice_edit")).content.decode()
    assert "Called off last year: 1 day" in page
    sent = {"version": 1, "leaning": "calm", "rain_2": "25"}
    client.post(reverse("scheduling:plan_choice_edit"), sent)
    choice = PlanChoice.objects.get()
    assert (choice.leaning, choice.rain[:3]) == ("calm", (0, 25, 0))
