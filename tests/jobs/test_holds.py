"""Holds are read from dated records: now, and as they were on any past day."""

from datetime import UTC, date, datetime, timedelta

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from jobs.domain.approvals import Step
from jobs.domain.holds import Stops
from jobs.domain.roles import Role
from jobs.holds import approval_holds, dimension_holds
from jobs.models import ApprovalKind
from jobs.services.approvals import record_step
from jobs.services.jobs import set_dimensions
from tests.jobs.conftest import DIMS


def rules(job, at):
    found = [*dimension_holds([job], at), *approval_holds([job], at)]
    return {hold.rule for hold in found}


def test_a_new_job_is_held_by_all_three(job, now):
    assert rules(job, now) == {
        "job.dimensions",
        "approval.engineer",
        "approval.council",
    }


def test_dimensions_clear_theirs_from_then_on(job, oscar, now):
    later = now + timedelta(days=2)
    set_dimensions(job=job, version=None, dimensions=DIMS, actor=oscar, at=later)
    assert "job.dimensions" in rules(job, now)
    assert "job.dimensions" not in rules(job, later)


@pytest.fixture
def granted(job, oscar, now):
    """The certificate, lodged on 1 July and granted on 20 July, good to 31 August."""
    certificate = job.approvals.get(kind__key="engineer")
    step = {"approval": certificate, "actor": oscar, "at": now}
    record_step(step=Step.LODGED, happened_on=date(2026, 7, 1), **step)
    record_step(
        step=Step.GRANTED,
        happened_on=date(2026, 7, 20),
        expires_on=date(2026, 8, 31),
        **step,
    )
    return job


@pytest.mark.parametrize(
    ("day", "held"),
    [
        (date(2026, 6, 30), True),
        (date(2026, 7, 19), True),
        (date(2026, 7, 20), False),
        (date(2026, 8, 31), False),
        (date(2026, 9, 1), True),
    ],
)
def test_any_day_is_judged_by_what_stood_then(granted, day, held):
    noon = datetime(day.year, day.month, day.day, 2, tzinfo=UTC)  # midday in Sydney
    assert ("approval.engineer" in rules(granted, noon)) is held


def test_the_day_is_the_firms_own(granted):
    """Late evening UTC is already the next day at the firm."""
    evening = datetime(2026, 7, 19, 15, 0, tzinfo=UTC)
    assert "approval.engineer" not in rules(granted, evening)


def test_a_hold_says_who_clears_it_and_when(job, oscar, now):
    certificate = job.approvals.get(kind__key="engineer")
    record_step(
        approval=certificate,
        step=Step.LODGED,
        happened_on=date(2026, 7, 27),
        actor=oscar,
        at=now,
    )
    hold = next(h for h in approval_holds([job], now) if h.rule.endswith("engineer"))
    assert hold.cleared_by == {Role.OFFICE}
    assert hold.stops == {Stops.WORK, Stops.BOOKING}
    assert hold.since == date(2026, 7, 27)
    # Usually 14 days; half of those that waited 7 already are back after 15.
    assert hold.forecast == date(2026, 8, 11)
    assert hold.record == ("jobs.approval", certificate.pk)


def test_an_approval_that_does_not_stop_booking(job, now):
    ApprovalKind.objects.filter(key="council").update(needed_before_booking=False)
    hold = next(h for h in approval_holds([job], now) if h.rule.endswith("council"))
    assert hold.stops == {Stops.WORK}


def test_the_same_queries_for_3_jobs_and_for_30(make_job, now):
    def count(jobs):
        with CaptureQueriesContext(connection) as caught:
            list(dimension_holds(jobs, now))
            list(approval_holds(jobs, now))
        return len(caught)

    jobs = [make_job(f"Patio {n}") for n in range(30)]
    assert count(jobs[:3]) == count(jobs)
