"""Holds of safety, now and as of a past moment."""

from datetime import timedelta
from uuid import uuid4

import pytest
from django.core.cache import cache
from django.db import connection
from django.test.utils import CaptureQueriesContext

from jobs.domain.dimensions import Dimensions
from jobs.domain.holds import Basis
from jobs.hold_registry import holds
from jobs.models import Job, LibraryText
from jobs.services.clients import edit_client, edit_site
from jobs.services.jobs import close_job, set_dimensions
from jobs.services.library import edit_text
from safety.domain.overrides import Action
from safety.models import DailyCheck
from safety.queries import staleness
from safety.services.checks import Weather
from safety.services.measurements import measure_hold_point
from safety.services.plan_edits import edit_plan, undo_edit
from safety.services.rules import keep_rules
from safety.services.work import finish_task, start_task, start_work
from tests.safety.conftest import check, issue, plan_now, review, sign

MINUTE = timedelta(minutes=1)


def rules(job, at):
    """Rules of the open holds of safety."""
    found = holds([job], at)[job.pk]
    mine = ("statement.", "sign_on.", "daily_check.", "hold_point.")
    return [hold.rule for hold in found if hold.rule.startswith(mine)]


def only(job, at, rule):
    return next(h for h in holds([job], at)[job.pk] if h.rule.startswith(rule))


def wider(job, actor, at, length_m=9.0):
    set_dimensions(
        job=job,
        version=job.dimensions.version,
        dimensions=Dimensions(length_m, 3.6, 3.0, 2.4),
        actor=actor,
        at=at,
    )
    job.dimensions.refresh_from_db()


def test_a_job_without_a_statement_is_held_by_law(job, before):
    hold = only(job, before, "statement.")
    assert (hold.rule, hold.basis) == ("statement.missing", Basis.LAW)
    assert "No statement is issued" in hold.says


def test_a_statement_that_no_law_asks_for_is_the_firms_own_decision(make_job, before):
    low = make_job(dims=Dimensions(3.0, 2.4, 2.0, 1.9))
    by_law = plan_now(low, before).plan.duty.by_law
    hold = only(low, before, "statement.")
    assert hold.basis is (Basis.LAW if by_law else Basis.FIRM)
    assert hold.record == ("safety.plan", low.pk)


def test_a_reviewed_version_still_waits_to_be_issued(job, oscar, before):
    review(job, oscar, before)
    hold = only(job, before, "statement.")
    assert hold.says == "Version 1 of the statement is not issued yet."


def test_an_issued_statement_clears_it_from_that_moment(job, oscar, before):
    issue(job, oscar, before)
    assert "statement.missing" in rules(job, before - MINUTE)
    assert rules(job, before) == []


def test_a_wider_roof_makes_the_statement_stale(issued, booked, oscar, now):
    wider(booked, oscar, now)
    hold = only(booked, now, "statement.stale")
    assert hold.basis is Basis.LAW
    assert "dimensions changed (length along the house from" in hold.says
    assert hold.since == now


def test_it_was_not_stale_the_day_before(issued, booked, oscar, now):
    wider(booked, oscar, now)
    assert "statement.stale" not in rules(booked, now - timedelta(days=1))
    assert "statement.stale" in rules(booked, now)


def test_it_is_no_longer_stale_once_the_roof_is_as_it_was(issued, booked, oscar, now):
    wider(booked, oscar, now)
    wider(booked, oscar, now + MINUTE, length_m=6.0)
    assert "statement.stale" in rules(booked, now)
    assert "statement.stale" not in rules(booked, now + MINUTE)


def test_a_fact_that_changes_no_line_does_not_make_it_stale(
    issued, booked, oscar, now, site
):
    edit_site(
        site=site,
        version=site.version,
        values={"yard_distance_km": 31.0},
        actor=oscar,
        at=now,
    )
    assert booked.facts_revisions.count() == 2
    assert "statement.stale" not in rules(booked, now)


def test_a_corrected_phone_number_does_not_make_it_stale(issued, booked, oscar, now):
    client = booked.client
    edit_client(
        client=client,
        version=client.version,
        values={"phone": "02 5550 1234"},
        actor=oscar,
        at=now,
    )
    assert "statement.stale" not in rules(booked, now)


def test_an_edit_of_the_plan_makes_it_stale_until_it_is_undone(
    issued, booked, oscar, now
):
    line = issued.content["steps"][0]["lines"][0]
    edit = edit_plan(
        job=booked,
        does=Action.EDIT,
        line_key=line["key"],
        changes={"harm": "Something worse than we thought."},
        reason="Seen on the last job like it.",
        actor=oscar,
        at=now,
    )
    assert "edited" in only(booked, now, "statement.stale").says
    undo_edit(edit=edit, actor=oscar, at=now + MINUTE)
    assert "statement.stale" not in rules(booked, now + MINUTE)


def test_an_edited_library_makes_it_stale_from_that_day_only(
    issued, booked, oscar, now, firm
):
    row = LibraryText.objects.get(kind="hazards", key="falls")
    edit_text(
        text=row,
        new=row.text.replace("harm: ", "harm: Seen last year. ", 1),
        actor=oscar,
        at=now,
    )
    keep_rules(firm=firm, actor=oscar, at=now)
    assert "library" in only(booked, now, "statement.stale").says
    assert "statement.stale" not in rules(booked, now - MINUTE)


def test_people_booked_next_have_to_sign_on(issued, booked, sal, kit, before, now):
    says = "Cam Crew, Kit Crew and Sal Lead have not signed on to statement version 1."
    assert only(booked, before, "sign_on.").says == says
    sign(issued, sal, before + MINUTE)
    sign(issued, kit, before + MINUTE, actor=sal)
    hold = only(booked, before + MINUTE, "sign_on.")
    assert hold.says == "Cam Crew has not signed on to statement version 1."
    assert hold.forecast == now.date()


def test_sign_ons_of_the_old_version_stop_counting(signed, booked, oscar, now):
    assert "sign_on.missing" not in rules(booked, now)
    wider(booked, oscar, now)
    issue(booked, oscar, now + MINUTE)
    assert "sign_on.missing" not in rules(booked, now)
    assert "sign_on.missing" in rules(booked, now + MINUTE)


def test_only_people_at_work_count_once_work_has_begun(issued, booked, sal, now):
    sign(issued, sal, now)
    start_work(
        job=booked,
        people=[sal],
        actor=sal,
        at=now,
        device_at=None,
        client_uid=issued.job.uid,
    )
    assert "sign_on.missing" not in rules(booked, now)


def test_a_booked_day_needs_a_check(signed, booked, before, now):
    assert "daily_check.missing" not in rules(booked, before)
    assert rules(booked, now) == ["daily_check.missing"]


def test_a_go_clears_it_and_a_no_go_stops_everything(signed, booked, sal, cam, now):
    check(booked, sal, now, here=[sal, cam])
    assert rules(booked, now) == []
    check(
        booked,
        sal,
        now + MINUTE,
        outcome=DailyCheck.Outcome.NO_GO,
        note="Lightning to the west.",
    )
    hold = only(booked, now + MINUTE, "daily_check.no_go")
    assert hold.says == "No go today, said Sal Lead: Lightning to the west."
    assert hold.stops_work()


def test_no_check_is_asked_on_a_day_without_work(signed, booked, now):
    assert "daily_check.missing" not in rules(booked, now + timedelta(days=1))


def test_wind_above_a_limit_holds_the_tasks_it_would_blow_at(signed, booked, sal, now):
    task = booked.tasks.exclude(spec__wind_limit_ms=None).first()
    visit = booked.visits.first()
    visit.tasks.add(task)
    gust = task.spec["wind_limit_ms"] + 1
    check(
        booked,
        sal,
        now,
        here=[sal],
        weather=Weather(wind_gust_ms=gust),
        outcome=DailyCheck.Outcome.GO_WITH_CHANGES,
        note="Only ground work until it drops.",
    )
    hold = only(booked, now, "daily_check.wind")
    assert task.pk in hold.task_ids
    assert hold.basis is Basis.FIRM
    assert not hold.stops_work()


def test_wind_at_the_limit_does_not_hold(signed, booked, sal, now):
    task = booked.tasks.exclude(spec__wind_limit_ms=None).first()
    booked.visits.first().tasks.add(task)
    lowest = min(
        t.spec["wind_limit_ms"]
        for t in booked.visits.first().tasks.all()
        if t.spec["wind_limit_ms"]
    )
    check(booked, sal, now, here=[sal], weather=Weather(wind_gust_ms=lowest))
    assert "daily_check.wind" not in rules(booked, now)


@pytest.fixture
def squared(signed, booked, sal, now):
    """The set-out is done; its diagonals are not measured."""
    task = booked.tasks.get(key="set_out")
    return finish_task(task=task, actor=sal, at=now, device_at=None)


def test_a_hold_point_is_quiet_until_work_comes_to_it(signed, booked, now):
    assert not [rule for rule in rules(booked, now) if rule.startswith("hold_point")]


def test_an_unmeasured_hold_point_holds_what_follows(squared, booked, now):
    hold = only(booked, now, "hold_point.")
    after = booked.tasks.filter(links_in__predecessor=squared)
    assert {task.pk for task in after} <= hold.task_ids
    assert "is not measured yet" in hold.says


def measure(task, actor, at, a, b):
    return measure_hold_point(
        task=task,
        values={"diagonal_a_mm": a, "diagonal_b_mm": b},
        looks_right=False,
        note="",
        actor=actor,
        at=at,
        device_at=None,
        client_uid=uuid4(),
    )


def test_a_failed_measurement_holds_until_one_passes(squared, booked, sal, now):
    measure(squared, sal, now + MINUTE, 6900, 6910)
    assert "was measured and failed" in only(booked, now + MINUTE, "hold_point.").says
    measure(squared, sal, now + 2 * MINUTE, 6905, 6908)
    later = [r for r in rules(booked, now + 2 * MINUTE) if r.startswith("hold_point")]
    assert later == []


def test_starting_past_a_hold_point_brings_it_up(signed, booked, sal, now):
    first = booked.tasks.get(key="set_out")
    follower = booked.tasks.filter(links_in__predecessor=first).first()
    start_task(task=follower, actor=sal, at=now, device_at=None)
    assert follower.pk in only(booked, now, "hold_point.").task_ids


def test_a_closed_job_is_not_held(issued, booked, oscar, now):
    close_job(job=booked, how=Job.Closed.CALLED_OFF, note="", actor=oscar, at=now)
    booked.refresh_from_db()
    assert rules(booked, now) == []
    assert rules(booked, now - MINUTE) != []


def test_the_number_of_queries_does_not_grow_with_jobs(
    make_job, oscar, before, now, django_assert_num_queries, blue, book
):
    jobs = [make_job(f"Job {n}") for n in range(3)]
    for one in jobs:
        issue(one, oscar, before)
    holds(jobs, now)
    with CaptureQueriesContext(connection) as few:
        holds(jobs, now)
    jobs += [make_job(f"More {n}") for n in range(7)]
    for one in jobs[3:]:
        issue(one, oscar, before)
    holds(jobs, now)
    with django_assert_num_queries(len(few)):
        holds(jobs, now)


def test_what_is_not_compared_yet_counts_as_out_of_date(
    issued, booked, site, oscar, now, monkeypatch
):
    """A fact that changes no line: out of date until somebody has looked."""
    edit_site(
        site=site,
        version=site.version,
        values={"yard_distance_km": 31.0},
        actor=oscar,
        at=now,
    )
    cache.clear()
    staleness._KEPT.clear()
    monkeypatch.setattr(staleness, "AT_ONCE", 0)
    assert "not compared yet" in only(booked, now, "statement.stale").says
    monkeypatch.setattr(staleness, "AT_ONCE", 1)
    assert "statement.stale" not in rules(booked, now)
