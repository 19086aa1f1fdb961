"""Noise and vibration in a day on the page of the plan and in the statement."""

from datetime import timedelta

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from jobs.models import Firm
from jobs.queries import the_firm
from safety.documents import statement_html
from safety.library import rules_now
from safety.models import Statement
from safety.queries.day_page import booked_visits, days_shown
from safety.queries.papers import paper
from safety.queries.staleness import out_of_date
from safety.queries.statements import issued_at
from tests.safety.conftest import MONDAY, issue, plan_now, text_of

pytestmark = [
    pytest.mark.usefixtures("morning"),
    pytest.mark.filterwarnings("ignore::DeprecationWarning:pypdf"),
]


def test_the_plan_shows_days_as_the_steps_follow_each_other(job, oscar, page):
    words = text_of(page(oscar, "safety:plan_detail", job.pk))
    assert "Noise and vibration in a day" in words
    assert "Booked days may be cut otherwise. By typical figures." in words
    assert "One person on every tool" in words
    assert "of a day’s allowance" in words
    assert "Class 2" in words
    assert "points" in words
    assert "More than 85 dB(A): Noise over eight hours" in words


def test_booked_days_are_shown_by_their_dates(booked, oscar, page, now, firm):
    (visit, *_) = booked_visits(booked, the_firm())
    (room,) = visit.rooms
    assert (room.on, room.people, room.minutes) == (MONDAY, 3, 450.0)
    shown = days_shown(plan_now(booked, now), the_firm())
    assert shown.table is not None
    assert shown.table["rows"][0]["on"] == "2026-08-03"
    words = text_of(page(oscar, "safety:plan_detail", booked.pk))
    assert "Days as they are booked now." in words
    assert "Mon 3 Aug 2026" in words or "3 August 2026" in words
    assert "Shared by 3" in words


def test_a_plan_asks_no_more_often_with_more_days_booked(
    booked, make_job, blue, book, oscar, page
):
    def asked(job):
        page(oscar, "safety:plan_detail", job.pk)
        with CaptureQueriesContext(connection) as found:
            page(oscar, "safety:plan_detail", job.pk)
        return len(found)

    week = make_job("Long")
    book(week, blue, MONDAY + timedelta(days=7), MONDAY + timedelta(days=11))
    assert asked(week) == asked(booked)


def test_the_statement_keeps_the_days_it_was_reviewed_with(issued, oscar, page):
    kept = Statement.objects.get(pk=issued.pk).content["days"]
    assert not kept["booked"]
    words = text_of(page(oscar, "safety:statement_detail", issued.pk))
    assert "Noise and vibration in a day" in words
    for case in kept["rows"][0]["cases"]:
        assert f"{case['noise']} dB(A)" in words


def test_the_print_tells_the_worst_day(issued):
    rows = Statement.objects.select_related("job__site", "job__client", "facts")
    html = statement_html(paper(rows.get(pk=issued.pk)))
    worst = next(row for row in issued.content["days"]["rows"] if row["worst"])
    one, shared = worst["cases"]
    assert f"{worst['worst'].capitalize()} in a day:" in html
    assert f"{one['noise']} dB(A), {one['protector']}" in html
    assert f"Shared by 3: {shared['noise']} dB(A)" in html
    assert issued.content["days"]["figures"] in html


def test_a_statement_from_before_there_were_days_still_shows(issued, oscar, page):
    rows = Statement.objects.select_related("job__site", "job__client", "facts")
    old = rows.get(pk=issued.pk)
    del old.content["days"]
    html = statement_html(paper(old))
    assert "in a day:" not in html
    Statement.objects.filter(pk=issued.pk).update(content=old.content)
    words = text_of(page(oscar, "safety:statement_detail", issued.pk))
    assert "Noise and vibration in a day" not in words


def test_longer_hours_are_another_rule_and_usual_ones_are_not(issued, now):
    before = rules_now(the_firm()).digest
    Firm.objects.update(starts_at="07:00", midday_at="11:30", ends_at="15:30")
    assert rules_now(the_firm()).digest == before
    Firm.objects.update(starts_at="06:00", midday_at="11:30", ends_at="17:00")
    rules = rules_now(the_firm())
    assert rules.digest != before
    hours = rules.book("au-nsw").bench.hours
    # 5 and 5.5 hours less a quarter of an hour each; 11 hours on the clock
    assert (hours.work_minutes, hours.clock_hours) == (600.0, 11.0)
    level = plan_now(issued.job, now).content["days"]["rows"][0]["cases"][0]["noise"]
    kept = issued.content["days"]["rows"][0]["cases"][0]["noise"]
    assert float(level) >= float(kept) + 1.0  # one decibel for the long shift
    # figures move, no rating and no class of protector does: nobody signs again
    assert out_of_date(issued_at([issued.job], now), now, the_firm()) == {}


def test_more_people_booked_change_nothing_that_was_signed(issued, blue, book, now):
    job = issued.job
    book(job, blue, MONDAY + timedelta(days=1), MONDAY + timedelta(days=2))
    assert out_of_date(issued_at([job], now), now, the_firm()) == {}
    assert plan_now(job, now).digest == issued.digest


def test_another_statement_of_the_same_job_is_the_same(booked, oscar, before, now):
    first = issue(booked, oscar, before)
    assert plan_now(booked, now).content["days"] == first.content["days"]
