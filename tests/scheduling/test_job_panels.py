"""Scheduling's panels of the job page."""

from datetime import date

import pytest
from django.urls import reverse

from jobs.services.sequence import remove_task
from scheduling.queries.bars import bar_chart
from scheduling.queries.cuts import job_cuts
from scheduling.queries.job_visits import is_cut_anew, visit_rows
from scheduling.services.visits import sync_visits
from tests.scheduling.plans import publish, slot

TUESDAY = date(2026, 8, 4)


def test_visits_say_what_they_take_and_wait_for(job, blue, oscar, now):
    publish({(job.pk, 1): (blue, slot(TUESDAY), slot(TUESDAY, "pm"))}, oscar, now)
    first, second = visit_rows(job, now)
    assert first.takes == "4 half-days with 2 people, 3 half-days with 3 people"
    assert second.waits == ["24 hours after visit 1: the posts have to set"]
    assert first.view is not None
    assert (first.view.state, second.view) == ("firm", None)


def test_a_sequence_changed_after_the_cut_is_noticed(job, firm, oscar, now):
    sync_visits(job=job, actor=oscar, at=now)
    assert not is_cut_anew(visit_rows(job, now), job_cuts([job], firm)[job.pk])
    remove_task(task=job.tasks.get(key="gutter"), actor=oscar, at=now)
    assert is_cut_anew(visit_rows(job, now), job_cuts([job], firm)[job.pk])


def test_bars_stand_in_the_order_of_their_hours(job, firm):
    chart = bar_chart(job_cuts([job], firm)[job.pk])
    assert chart is not None
    # By hand, two people: 450 + 600 + 700 + 500 + 300 minutes halved, and 24 hours.
    assert chart.hours == pytest.approx(2550 / 2 / 60 + 24, abs=0.06)
    starts = [0, 3.75, 8.75, 38.58, 42.75]
    assert [bar.starts_h for bar in chart.bars] == pytest.approx(starts, abs=0.06)
    assert all(bar.is_critical for bar in chart.bars)


def test_the_job_page_shows_them(client, job, delivery, blue, oscar, now, time_machine):
    time_machine.move_to(now)
    publish({(job.pk, 1): (blue, slot(TUESDAY), slot(TUESDAY, "pm"))}, oscar, now)
    client.force_login(oscar)
    page = client.get(reverse("jobs:job_detail", args=[job.pk])).content.decode()
    for words in (
        "Set out … Beams",
        "Why not sooner: the test says so",
        "Order a delivery",
    ):
        assert words.replace("Beams", "Lift beams") in page
