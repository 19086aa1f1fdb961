"""Measure a hold point of a job."""

from dataclasses import replace
from typing import Any
from uuid import uuid4

import pytest
from django.core.exceptions import PermissionDenied

from jobs.domain.refusals import Refused, SentBefore
from jobs.models import JobDimensions, LedgerEntry
from jobs.services.jobs import set_dimensions
from jobs.services.sequence import remove_task
from safety.domain.verbs import Verb
from safety.models import Measurement
from safety.queries.hold_points import spec_of
from safety.queries.set_out import expected_at
from safety.services.measurements import measure_hold_point
from tests.safety.conftest import FLAT


def measure(task, actor, at, values, **more):
    plain: dict[str, Any] = {"looks_right": False, "note": "", "device_at": None}
    return measure_hold_point(
        task=task,
        values=values,
        actor=actor,
        at=at,
        **({"client_uid": uuid4()} | plain | more),
    )


def squared(a, b):
    return {"diagonal_a_mm": a, "diagonal_b_mm": b}


def test_the_set_out_figure_is_the_diagonal_of_the_take_off(booked):
    task = booked.tasks.get(key="set_out")
    point = spec_of(task)
    assert point is not None
    (expected,) = expected_at(task, point)
    assert expected.key == "diagonal"
    assert 3000 < expected.mm < 9000


def test_a_pass_and_its_difference_are_kept(booked, sal, now):
    row = measure(booked.tasks.get(key="set_out"), sal, now, squared(6911, 6914))
    assert (row.passed, row.difference_mm, row.tolerance_mm) == (True, 3, 5)


def test_a_fall_is_judged_by_the_figure_that_people_are_told(booked, oscar, sal, now):
    longer = replace(FLAT, length_m=6.57)  # falls 13.14 mm: "Should be 13 mm"
    version = JobDimensions.objects.get(job=booked).version
    set_dimensions(job=booked, version=version, dimensions=longer, actor=oscar, at=now)
    task = next(
        t for t in booked.tasks.all() if (s := spec_of(t)) and s.measure == "fall"
    )
    point = spec_of(task)
    assert point is not None
    assert point.tolerance_mm is not None
    (due,) = expected_at(task, point)
    assert due.mm == round(due.mm) > 0
    least = due.mm - point.tolerance_mm
    row = measure(task, sal, now, {f"{due.key}_mm": least})
    assert (row.passed, row.difference_mm) == (True, point.tolerance_mm)


def test_a_slip_is_refused_and_nothing_is_kept(booked, sal, now):
    task = booked.tasks.get(key="set_out")
    with pytest.raises(Refused, match="mm is due"):
        measure(task, sal, now, squared(691.1, 691.4))
    assert not Measurement.objects.exists()


def test_a_fail_is_kept_as_well(booked, sal, now):
    row = measure(booked.tasks.get(key="set_out"), sal, now, squared(6911, 6930))
    assert (row.passed, row.difference_mm) == (False, 19)


def test_other_readings_under_the_same_id_are_refused(booked, sal, now):
    task, uid = booked.tasks.get(key="set_out"), uuid4()
    first = measure(task, sal, now, squared(6911, 6930), client_uid=uid)
    assert measure(task, sal, now, squared(6911, 6930), client_uid=uid) == first
    with pytest.raises(SentBefore, match="a measurement that failed"):
        measure(task, sal, now, squared(6911, 6912), client_uid=uid)


def test_a_look_that_is_not_right_says_what(booked, sal, now):
    looked = next(
        t for t in booked.tasks.all() if (s := spec_of(t)) and s.measure == "look"
    )
    with pytest.raises(Refused, match="not right"):
        measure(looked, sal, now, {})
    assert not measure(looked, sal, now, {}, note="Swarf on the roof.").passed
    assert measure(looked, sal, now, {}, looks_right=True).passed


def test_a_task_without_a_hold_point_is_refused(booked, sal, now):
    bare = next(task for task in booked.tasks.all() if spec_of(task) is None)
    with pytest.raises(Refused, match="no hold point"):
        measure(bare, sal, now, {})


def test_sent_twice_is_once(booked, sal, now):
    uid, task = uuid4(), booked.tasks.get(key="set_out")
    for _ in range(2):
        measure(task, sal, now, squared(6911, 6914), client_uid=uid)
    assert Measurement.objects.count() == 1


@pytest.mark.parametrize("who", ["lou", "cam", "oscar", "olive"])
def test_only_the_lead_of_this_job_measures(booked, now, who, request):
    task = booked.tasks.get(key="set_out")
    with pytest.raises(PermissionDenied):
        measure(task, request.getfixturevalue(who), now, squared(6911, 6914))


def test_the_ledger_keeps_the_readings(booked, sal, now):
    measure(booked.tasks.get(key="set_out"), sal, now, squared(6911, 6914))
    entry = LedgerEntry.objects.get(verb=Verb.MEASURED)
    assert '"diagonal_a_mm":6911' in entry.payload


def test_a_measured_task_stays_in_the_sequence(booked, sal, oscar, now):
    task = booked.tasks.get(key="set_out")
    measure(task, sal, now, squared(6911, 6914))
    with pytest.raises(Refused, match="was measured"):
        remove_task(task=task, actor=oscar, at=now)
