"""Hours come back from site; the office decides about rates; new jobs follow."""

from datetime import timedelta
from typing import Any

import pytest
from django.core.exceptions import PermissionDenied
from django.db import connection
from django.test.utils import CaptureQueriesContext

from jobs.domain.durations import person_minutes
from jobs.domain.refusals import Refused
from jobs.domain.verbs import Verb
from jobs.models import LedgerEntry, RateDecision, Task
from jobs.queries.facts import current_take_off, task_specs
from jobs.queries.firm import local_day
from jobs.queries.rates import learned_on, rate_factors, rate_rows
from jobs.services.jobs import set_dimensions
from jobs.services.rates import decide_rate, record_hours
from tests.jobs.conftest import DIMS


@pytest.fixture
def done_job(make_job, oscar, now):
    """A job whose first two tasks are done."""

    def make(title="Done", done=2):
        job = make_job(title)
        set_dimensions(job=job, version=None, dimensions=DIMS, actor=oscar, at=now)
        tasks = list(job.tasks.order_by("position")[:done])
        for task in tasks:
            task.started_at, task.done_at, task.done_by = now, now, oscar
            task.save()
        return job

    return make


def estimates(job):
    """Person-minutes of its tasks by key."""
    take_off = current_take_off(job)
    assert take_off is not None
    return {spec.key: person_minutes(spec, take_off) for spec in task_specs(job)}


def took(job, ratio, actor, at):
    """Every task that is done took so many times its estimate."""
    rates = estimates(job)
    minutes = {
        task.pk: round(rates[task.key] * ratio)
        for task in job.tasks.filter(done_at__isnull=False)
    }
    return record_hours(job=job, minutes=minutes, actor=actor, at=at)


def test_hours_are_kept_beside_what_the_rate_said(done_job, sal, now):
    job = done_job()
    assert took(job, 1.5, sal, now) == 2
    task = job.tasks.order_by("position").first()
    assert task.estimated_minutes == pytest.approx(estimates(job)[task.key])
    assert task.actual_minutes == round(task.estimated_minutes * 1.5)
    entry = LedgerEntry.objects.filter(chain=job.chain, verb=Verb.HOURS_RECORDED).get()
    assert f'"{task.key}":{task.actual_minutes}' in str(entry.payload)
    assert took(job, 1.5, sal, now) == 0


def test_only_office_and_the_lead_of_the_job_record_hours(
    done_job, lou, cam, olive, now
):
    job = done_job()
    for person in (lou, cam, olive):
        with pytest.raises(PermissionDenied):
            took(job, 1.0, person, now)


def test_slips_are_refused_and_tasks_not_done_left_out(done_job, oscar, now):
    job = done_job()
    with pytest.raises(Refused, match="Look again"):
        took(job, 40, oscar, now)
    open_task = job.tasks.filter(done_at__isnull=True).first()
    changed = record_hours(job=job, minutes={open_task.pk: 60}, actor=oscar, at=now)
    assert changed == 0
    assert not Task.objects.filter(actual_minutes__isnull=False).exists()


def test_hours_can_be_taken_back(done_job, oscar, now):
    job = done_job()
    took(job, 1.2, oscar, now)
    task = job.tasks.order_by("position").first()
    record_hours(job=job, minutes={task.pk: None}, actor=oscar, at=now)
    task.refresh_from_db()
    assert (task.actual_minutes, task.estimated_minutes) == (None, None)


def slow_firm(done_job, actor, at, jobs=4):
    """Tasks take half as long again, job after job."""
    for n in range(jobs):
        took(done_job(f"Slow {n}", done=1), 1.5, actor, at)


def test_accepted_rates_are_used_in_new_jobs_and_not_in_old_ones(
    done_job, make_job, oscar, now
):
    slow_firm(done_job, oscar, now)
    (row,) = rate_rows(local_day(now))
    assert row.waits
    assert 1.1 < row.evidence.proposed < 1.5
    old = Task.objects.order_by("pk")[0]
    factor, kind = row.evidence.proposed, row.evidence.kind
    decide_rate(kind=kind, proposed=factor, accept=True, actor=oscar, at=now)
    new = make_job("New").tasks.get(key=old.key)
    assert new.rate_factor == factor
    rate = old.spec["minutes_per_unit"]
    assert new.spec["minutes_per_unit"] == pytest.approx(rate * factor, abs=0.001)
    unchanged = Task.objects.get(pk=old.pk)
    assert (unchanged.spec, unchanged.rate_factor) == (old.spec, 1.0)
    assert LedgerEntry.objects.filter(verb=Verb.RATE_ACCEPTED).count() == 1


def test_hours_at_an_accepted_rate_still_speak_of_the_library(done_job, oscar, now):
    slow_firm(done_job, oscar, now)
    (row,) = rate_rows(local_day(now))
    before = learned_on(local_day(now)).about(row.evidence.kind)
    decide_rate(
        kind=row.evidence.kind,
        proposed=row.evidence.proposed,
        accept=True,
        actor=oscar,
        at=now,
    )
    # Half as long again as the library is less than that of the new rate.
    took(done_job("After", done=1), 1.5 / row.evidence.proposed, oscar, now)
    after = learned_on(local_day(now)).about(row.evidence.kind)
    assert after.count == before.count + 1
    assert after.mean == pytest.approx(before.mean, abs=0.01)


def test_a_rate_that_is_kept_is_not_asked_about_again(done_job, oscar, now):
    slow_firm(done_job, oscar, now)
    (row,) = rate_rows(local_day(now))
    kind, proposed = row.evidence.kind, row.evidence.proposed
    decide_rate(kind=kind, proposed=proposed, accept=False, actor=oscar, at=now)
    (row,) = rate_rows(local_day(now))
    assert not row.waits
    assert rate_factors() == {kind: 1.0}


def test_a_decision_on_old_figures_is_refused(done_job, oscar, sal, now):
    slow_firm(done_job, oscar, now)
    (row,) = rate_rows(local_day(now))
    shown: Any = {"kind": row.evidence.kind, "proposed": row.evidence.proposed}
    took(done_job("One more", done=1), 1.2, oscar, now)
    with pytest.raises(Refused, match="More hours came back"):
        decide_rate(**shown, accept=True, actor=oscar, at=now)
    with pytest.raises(Refused, match="nothing to decide"):
        decide_rate(kind="no_such", proposed=1.5, accept=True, actor=oscar, at=now)
    with pytest.raises(PermissionDenied):
        decide_rate(**shown, accept=True, actor=sal, at=now)
    assert not RateDecision.objects.exists()


def test_old_hours_are_forgotten(done_job, oscar, now):
    slow_firm(done_job, oscar, now)
    later = now + timedelta(days=4 * 365)
    assert rate_rows(local_day(later)) == []


def test_more_jobs_cost_no_more_queries(done_job, oscar, now):
    counts = set()
    for _ in range(2):
        slow_firm(done_job, oscar, now)
        with CaptureQueriesContext(connection) as asked:
            rate_rows(local_day(now))
        counts.add(len(asked))
    assert counts == {3}


def test_the_pages_take_hours_and_a_decision(
    done_job, as_person, oscar, now, time_machine
):
    time_machine.move_to(now, tick=False)
    jobs = [done_job(f"Slow {n}", done=1) for n in range(4)]
    office = as_person(oscar)
    for job in jobs:
        task = job.tasks.get(done_at__isnull=False)
        hours = round(estimates(job)[task.key] * 1.5 / 60, 2)
        url = f"/jobs/{job.pk}/hours/"
        assert "The rate says" in office.get(url).text
        assert office.post(url, {f"task_{task.pk}": hours}).status_code == 302
    assert "Use it in new jobs" in office.get("/rates/").text
    (row,) = rate_rows(local_day(now))
    data = {"kind": row.evidence.kind, "proposed": f"{row.evidence.proposed:.2f}"}
    said = office.post("/rates/decide/", data | {"accept": "yes"}, follow=True).text
    assert "Jobs opened from now on use the new rate." in said
    assert rate_factors() == {row.evidence.kind: row.evidence.proposed}


def test_a_slip_comes_back_with_what_was_typed(done_job, as_person, sal):
    job = done_job(done=1)
    task = job.tasks.get(done_at__isnull=False)
    answer = as_person(sal).post(f"/jobs/{job.pk}/hours/", {f"task_{task.pk}": "900"})
    assert answer.status_code == 422
    assert "Look again" in answer.text
    assert 'value="900"' in answer.text


def test_without_a_done_task_there_is_a_way_back_and_nothing_to_save(
    done_job, as_person, oscar
):
    job = done_job(done=0)
    shown = as_person(oscar).get(f"/jobs/{job.pk}/hours/").text
    assert "Back to the job" in shown
    assert "Save the hours" not in shown


@pytest.mark.parametrize(("who", "leads"), [("oscar", True), ("sal", False)])
def test_only_who_sees_the_rates_is_led_to_them(
    done_job, as_person, who, leads, request
):
    job = done_job()
    browser = as_person(request.getfixturevalue(who))
    shown = browser.get(f"/jobs/{job.pk}/hours/").text
    assert ('href="/rates/"' in shown) is leads
