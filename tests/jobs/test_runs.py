"""Background work: started after commit, followed on a page, stopped on request."""

from datetime import timedelta

import pytest
from django.db import transaction
from django.urls import reverse

from jobs import background
from jobs.background import Stopped
from jobs.models import BackgroundRun

State = BackgroundRun.State


def url(name, run):
    return reverse(f"jobs:{name}", args=[run.pk])


@pytest.fixture
def run(oscar, now, job):
    """Work that Oscar asked for and that waits for a worker."""
    return BackgroundRun.objects.create(
        task="jobs.tasks.close_ledger_day",
        label="Solving the plan",
        asked_by=oscar,
        asked_at=now,
        job=job,
    )


def test_it_asks_again_while_it_works(as_person, oscar, run):
    run.state, run.fraction, run.says = State.RUNNING, 0.64, "9 of 14 jobs placed."
    run.save()
    text = as_person(oscar).get(url("run_progress", run)).text
    assert 'hx-trigger="every 1s"' in text
    assert 'value="64"' in text
    assert "9 of 14 jobs placed." in text
    assert "Stop it" in text


@pytest.mark.parametrize(
    ("state", "word"),
    [(State.DONE, "Ready"), (State.FAILED, "Failed"), (State.STOPPED, "Stopped")],
)
def test_it_is_silent_once_it_is_over(as_person, oscar, run, state, word):
    run.state, run.result_url = state, "/jobs/"
    run.save()
    text = as_person(oscar).get(url("run_progress", run)).text
    assert "hx-get" not in text
    assert word in text
    assert 'href="/jobs/"' in text


def test_without_a_script_there_is_a_page(as_person, oscar, run):
    page = as_person(oscar).get(url("run_detail", run)).text
    assert "Waiting for its turn" in page
    assert "<noscript>" in page


def test_stopping_is_asked_and_shown(as_person, oscar, run):
    response = as_person(oscar).post(
        url("run_stop", run), headers={"HX-Request": "true"}
    )
    assert "Stopping" in response.text
    run.refresh_from_db()
    assert run.stop_asked


def test_what_is_over_cannot_be_stopped(as_person, oscar, run):
    run.state = State.DONE
    run.save()
    as_person(oscar).post(url("run_stop", run))
    run.refresh_from_db()
    assert not run.stop_asked


def test_it_belongs_to_who_asked_and_to_those_who_schedule(as_person, sal, olive, run):
    for person in (sal, olive):
        assert as_person(person).get(url("run_progress", run)).status_code == 404
    run.asked_by = sal
    run.save()
    assert as_person(sal).get(url("run_progress", run)).status_code == 200


def test_stopping_takes_a_button_not_a_link(as_person, oscar, run):
    assert as_person(oscar).get(url("run_stop", run)).status_code == 405


def test_a_task_reports_and_ends(run, now):
    with background.reporting(str(run.pk), clock=lambda: now) as report:
        report(0.5, "Half way")
        report.finish(says="All placed.", url="/plan/", moved=3)
    run.refresh_from_db()
    assert (run.state, run.says, run.result_url) == (
        State.DONE,
        "All placed.",
        "/plan/",
    )
    assert run.result == {"moved": 3}
    assert run.fraction == 1


def test_a_stop_reaches_the_task_at_its_next_report(run, now):
    went_on = []
    with background.reporting(str(run.pk), clock=lambda: now) as report:
        background.ask_to_stop(run=run)
        report(0.5, "Half way")
        went_on.append(run)
    run.refresh_from_db()
    assert (run.state, went_on) == (State.STOPPED, [])


def test_a_fault_is_recorded_and_raised(run, now):
    def fall_over():
        with background.reporting(str(run.pk), clock=lambda: now):
            raise ZeroDivisionError

    with pytest.raises(ZeroDivisionError):
        fall_over()
    run.refresh_from_db()
    assert run.state == State.FAILED
    assert "Something went wrong" in run.says


def test_what_is_over_is_not_done_again(run, now):
    run.state = State.DONE
    run.save()
    with pytest.raises(Stopped), background.reporting(str(run.pk)):
        pytest.fail("it ran twice")


def test_nothing_is_sent_before_the_commit(
    oscar, now, django_capture_on_commit_callbacks
):
    with django_capture_on_commit_callbacks() as callbacks:
        background.run_after_commit("jobs.tasks.close_ledger_day")
    assert len(callbacks) == 1
    with django_capture_on_commit_callbacks() as none_left:
        try:
            with transaction.atomic():
                background.run_after_commit("jobs.tasks.close_ledger_day")
                raise ZeroDivisionError
        except ZeroDivisionError:
            pass
    assert none_left == []


@pytest.mark.parametrize(
    ("minutes", "state"), [(14, State.RUNNING), (16, State.FAILED)]
)
def test_work_whose_worker_is_gone_is_given_up(run, now, minutes, state):
    run.state, run.started_at = State.RUNNING, now - timedelta(minutes=minutes)
    run.save()
    background.give_up_lost(at=now)
    run.refresh_from_db()
    assert run.state == state
    assert run.is_over == ("Ask for it again" in run.says)


def test_work_that_waits_for_a_worker_is_not_given_up(run, now):
    assert background.give_up_lost(at=now + timedelta(days=3)) == 0
