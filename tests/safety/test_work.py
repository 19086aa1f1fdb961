"""Who started, what was started and done; mistakes are taken back."""

from datetime import timedelta
from math import log
from uuid import uuid4

import pytest
from django.core.exceptions import PermissionDenied

from jobs.domain.durations import person_minutes
from jobs.domain.refusals import Refused
from jobs.models import JobDimensions, LedgerEntry
from jobs.queries.facts import current_take_off, task_specs
from jobs.queries.firm import local_day
from jobs.queries.rates import learned_on
from jobs.services.jobs import set_dimensions
from jobs.services.rates import record_hours
from safety.domain.verbs import Verb
from safety.models import Attendance, JudgedMoment
from safety.services.work import (
    finish_task,
    start_task,
    start_work,
    take_back_start,
    take_back_task,
)


def start(job, people, actor, at, **values):
    plain = {"device_at": None, "client_uid": uuid4()}
    return start_work(job=job, people=people, actor=actor, at=at, **(plain | values))


def test_work_may_be_recorded_whatever_is_open(booked, sal, now):
    rows = start(booked, [sal], sal, now)
    assert [row.person for row in rows] == [sal]
    kept = JudgedMoment.objects.get(job=booked, at=now)
    assert "statement.missing" in {hold["rule"] for hold in kept.holds}


def test_a_person_starts_once_a_day(booked, sal, cam, now):
    start(booked, [sal], sal, now)
    assert [r.person for r in start(booked, [sal, cam], sal, now)] == [cam]


def test_the_same_list_sent_twice_is_once(booked, sal, cam, now):
    uid = uuid4()
    for _ in range(2):
        start(booked, [sal, cam], sal, now, client_uid=uid)
    assert Attendance.objects.count() == 2


def test_nobody_is_not_somebody(booked, sal, now):
    with pytest.raises(Refused, match="who starts work"):
        start(booked, [], sal, now)


def test_a_mistake_is_taken_back_with_a_reason(booked, sal, cam, now):
    row = start(booked, [cam], sal, now)[0]
    with pytest.raises(Refused, match="what was wrong"):
        take_back_start(attendance=row, reason="", actor=sal, at=now)
    later = now + timedelta(minutes=5)
    take_back_start(attendance=row, reason="Cam is at the yard.", actor=sal, at=later)
    assert not JudgedMoment.objects.exists()  # no work stands behind it any more
    with pytest.raises(Refused, match="already"):
        take_back_start(attendance=row, reason="Once more.", actor=sal, at=later)


def test_after_a_mistake_the_same_person_may_start(booked, sal, cam, now):
    row = start(booked, [cam], sal, now)[0]
    take_back_start(attendance=row, reason="Too early.", actor=sal, at=now)
    assert start(booked, [cam], sal, now + timedelta(hours=1))


def test_a_task_is_started_and_done(booked, sal, now):
    task = booked.tasks.first()
    start_task(task=task, actor=sal, at=now, device_at=None)
    done = finish_task(
        task=task, actor=sal, at=now + timedelta(hours=2), device_at=None, minutes=110
    )
    assert (done.started_at, done.done_by, done.actual_minutes) == (now, sal, 110)


def test_minutes_given_at_the_end_count_toward_the_rates(booked, sal, now):
    task = booked.tasks.first()
    assert learned_on(local_day(now)).groups == {}
    done = finish_task(task=task, actor=sal, at=now, device_at=None, minutes=110)
    by_rate = estimate_of(booked, task)
    assert done.estimated_minutes == pytest.approx(by_rate)
    assert learned_on(local_day(now)).groups == {
        task.kind: pytest.approx([log(110 / by_rate)])
    }
    taken = take_back_task(task=task, reason="Not yet.", actor=sal, at=now)
    assert (taken.actual_minutes, taken.estimated_minutes) == (None, None)
    assert learned_on(local_day(now)).groups == {}


def test_minutes_that_cannot_be_right_are_refused(booked, sal, now):
    task = booked.tasks.first()
    for minutes in (0, 100_000):
        with pytest.raises(Refused, match=r"more than 0|Look again"):
            finish_task(task=task, actor=sal, at=now, device_at=None, minutes=minutes)
    task.refresh_from_db()
    assert task.done_at is None


def test_without_dimensions_minutes_are_kept_and_counted_later(booked, sal, oscar, now):
    known = JobDimensions.objects.get(job=booked).plain()
    JobDimensions.objects.filter(job=booked).delete()
    task = booked.tasks.first()
    done = finish_task(task=task, actor=sal, at=now, device_at=None, minutes=110)
    assert (done.actual_minutes, done.estimated_minutes) == (110, None)
    set_dimensions(job=booked, version=None, dimensions=known, actor=oscar, at=now)
    assert record_hours(job=booked, minutes={task.pk: 110}, actor=oscar, at=now) == 1
    task.refresh_from_db()
    assert task.estimated_minutes == pytest.approx(estimate_of(booked, task))


def estimate_of(job, task):
    specs, take_off = (
        {spec.key: spec for spec in task_specs(job)},
        current_take_off(job),
    )
    assert take_off is not None
    return person_minutes(specs[task.key], take_off)


def test_a_task_done_without_a_start_started_then(booked, sal, now):
    done = finish_task(task=booked.tasks.first(), actor=sal, at=now, device_at=None)
    assert done.started_at == done.done_at == now


def test_the_first_word_stands(booked, sal, now):
    task = booked.tasks.first()
    for minutes in (0, 5):
        at = now + timedelta(minutes=minutes)
        finish_task(task=task, actor=sal, at=at, device_at=None)
    task.refresh_from_db()
    assert task.done_at == now
    assert LedgerEntry.objects.filter(verb=Verb.TASK_DONE).count() == 1


def test_the_last_word_on_a_task_is_taken_back(booked, sal, now):
    task = booked.tasks.first()
    finish_task(task=task, actor=sal, at=now, device_at=None)
    back = take_back_task(task=task, reason="Two posts left.", actor=sal, at=now)
    assert (back.done_at, back.started_at) == (None, now)
    back = take_back_task(task=task, reason="Wrong job.", actor=sal, at=now)
    assert back.started_at is None
    with pytest.raises(Refused, match="not started"):
        take_back_task(task=task, reason="Once more.", actor=sal, at=now)


@pytest.mark.parametrize("who", ["lou", "cam", "oscar", "olive"])
def test_only_the_lead_of_this_job_records_work(booked, sal, now, who, request):
    person, task = request.getfixturevalue(who), booked.tasks.first()
    with pytest.raises(PermissionDenied):
        start(booked, [sal], person, now)
    with pytest.raises(PermissionDenied):
        start_task(task=task, actor=person, at=now, device_at=None)
    with pytest.raises(PermissionDenied):
        finish_task(task=task, actor=person, at=now, device_at=None)


def test_the_ledger_keeps_the_phones_time(booked, sal, now):
    start(booked, [sal], sal, now, device_at=now - timedelta(minutes=20))
    entry = LedgerEntry.objects.get(verb=Verb.WORK_STARTED)
    assert "2026-08-02T23:40:00+00:00" in entry.payload
