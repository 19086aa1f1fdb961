"""Cut a job into visits, when the schedule needs them."""

import pytest
from django.core.exceptions import PermissionDenied

from jobs.models import LedgerEntry
from jobs.services.sequence import remove_task
from scheduling.models import Visit
from scheduling.services.visits import sync_all_visits, sync_visits


def test_a_cure_parts_the_job_into_two_visits(job, oscar, now):
    first, second = sync_visits(job=job, actor=oscar, at=now)
    assert [task.key for task in first.tasks.all()] == ["set_out", "posts", "beams"]
    assert [task.key for task in second.tasks.all()] == ["sheets", "gutter"]
    assert first.halves == {"2": 4, "3": 3}
    assert second.links == [
        {
            "after": 1,
            "lag_hours": 24.0,
            "lag_kind": "calendar",
            "why": "the posts have to set",
        }
    ]
    assert (first.tickets, second.stops_in_rain) == (["dogging_licence"], True)


def test_cutting_again_changes_nothing(job, oscar, now):
    before = [visit.uid for visit in sync_visits(job=job, actor=oscar, at=now)]
    entries = LedgerEntry.objects.count()
    after = sync_visits(job=job, actor=oscar, at=now)
    assert [visit.uid for visit in after] == before
    assert LedgerEntry.objects.count() == entries


def test_a_changed_sequence_keeps_the_records_of_its_visits(job, oscar, now):
    before = sync_visits(job=job, actor=oscar, at=now)
    remove_task(task=job.tasks.get(key="gutter"), actor=oscar, at=now)
    after = sync_visits(job=job, actor=oscar, at=now)
    assert [visit.uid for visit in after] == [visit.uid for visit in before]
    assert after[1].name == "Lay sheets"
    entry = LedgerEntry.objects.filter(verb="schedule:visits:cut").latest("pk")
    assert '"changed":[2]' in entry.payload


def test_a_visit_that_is_gone_is_dropped(job, oscar, now):
    sync_visits(job=job, actor=oscar, at=now)
    for key in ("gutter", "sheets"):
        remove_task(task=job.tasks.get(key=key), actor=oscar, at=now)
    assert len(sync_visits(job=job, actor=oscar, at=now)) == 1
    assert Visit.objects.get(job=job, ordinal=2).dropped_at == now


def test_a_job_without_dimensions_has_no_visits(make_job, oscar, now):
    bare = make_job(dimensions=False)
    assert sync_visits(job=bare, actor=oscar, at=now) == []


def test_only_who_schedules_may_cut(job, sal, now):
    with pytest.raises(PermissionDenied):
        sync_visits(job=job, actor=sal, at=now)


def test_reading_is_the_same_number_of_queries_for_many_jobs(
    make_job, oscar, now, django_assert_num_queries
):
    jobs = [make_job(f"Patio {n}") for n in range(6)]
    sync_all_visits(jobs=jobs, actor=oscar, at=now)
    for some in (jobs[:2], jobs):
        with django_assert_num_queries(12):
            sync_all_visits(jobs=some, actor=oscar, at=now)
