"""The office's list of approvals that are in the way, with when they are likely back."""

from datetime import date, timedelta

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from jobs.domain.approvals import Event, Step
from jobs.domain.lead_times import lead_times, likely_range
from jobs.models import Job
from jobs.queries.approvals import (
    STRIP_DAYS,
    RangeView,
    approvals_to_chase,
    lead_times_on,
)
from jobs.services.approvals import record_step
from jobs.services.jobs import close_job

TODAY = date(2026, 8, 3)
URL = "/approvals/"


def lodge(approval, actor, at, days_ago, *then):
    """Lodged so long ago, then further steps of (step, days ago)."""
    for step, ago in [(Step.LODGED, days_ago), *then]:
        record_step(
            approval=approval,
            step=step,
            happened_on=TODAY - timedelta(days=ago),
            actor=actor,
            at=at,
        )


def chased(*jobs):
    return [
        (row.view.approval.job.title, row.view.approval.kind.key)
        for row in approvals_to_chase(TODAY, jobs)
    ]


def only_the_certificate(job):
    job.approvals.filter(kind__key="council").update(
        required=False, not_required_reason="Exempt"
    )
    return job.approvals.get(kind__key="engineer")


def test_the_most_urgent_comes_first(make_job, oscar, now):
    names = ("Fresh", "Waits", "Late", "Asked", "Refused")
    fresh, waits, late, asked, refused = (make_job(name) for name in names)
    only_the_certificate(fresh)
    lodge(only_the_certificate(waits), oscar, now, 5)
    lodge(only_the_certificate(late), oscar, now, 30)
    lodge(only_the_certificate(asked), oscar, now, 20, (Step.ASKED, 2))
    lodge(only_the_certificate(refused), oscar, now, 20, (Step.REFUSED, 2))
    order = [title for title, _ in chased(fresh, waits, late, asked, refused)]
    assert order == ["Asked", "Late", "Refused", "Fresh", "Waits"]


def test_among_equals_the_job_promised_soonest_comes_first(make_job):
    later, sooner, never = make_job("Later"), make_job("Sooner"), make_job("Never")
    for job, day in ((later, 20), (sooner, 10)):
        job.promised_on = TODAY + timedelta(days=day)
        job.save(update_fields=["promised_on"])
    for job in (later, sooner, never):
        only_the_certificate(job)
    assert [title for title, _ in chased(never, later, sooner)] == [
        "Sooner",
        "Later",
        "Never",
    ]


def test_each_says_what_to_do(make_job, oscar, now, as_person):
    late, waits = make_job("Late"), make_job("Waits")
    lodge(only_the_certificate(late), oscar, now, 30)
    lodge(only_the_certificate(waits), oscar, now, 5)
    rows = approvals_to_chase(TODAY, [late, waits])
    assert [(row.is_late, row.may_wait) for row in rows] == [
        (True, False),
        (False, True),
    ]
    assert rows[0].todo == "ring them: it should be back by now."


def test_what_is_back_or_not_needed_is_not_chased(job, oscar, now):
    certificate, council = job.approvals.order_by("kind__key").reverse()
    lodge(certificate, oscar, now, 30, (Step.GRANTED, 3))
    council.required, council.not_required_reason = False, "Exempt"
    council.save(update_fields=["required", "not_required_reason"])
    assert chased(job) == []


def test_an_expired_grant_is_chased_again(job, oscar, now):
    certificate = job.approvals.get(kind__key="engineer")
    lodge(certificate, oscar, now, 60)
    record_step(
        approval=certificate,
        step=Step.GRANTED,
        happened_on=TODAY - timedelta(days=40),
        expires_on=TODAY - timedelta(days=1),
        actor=oscar,
        at=now,
    )
    assert ("Flat patio", "engineer") in chased(job)


def test_the_page_is_the_offices(as_person, oscar, olive, sal, cam, job):
    assert "Flat patio" in as_person(oscar).get(URL).text
    assert "Record what happened" not in as_person(olive).get(URL).text
    for person in (sal, cam):
        assert as_person(person).get(URL).status_code == 403


def test_the_same_queries_for_3_jobs_and_for_30(make_job):
    def count(jobs):
        with CaptureQueriesContext(connection) as caught:
            approvals_to_chase(TODAY, jobs)
        return len(caught)

    jobs = [make_job(f"Patio {n}") for n in range(30)]
    assert count(jobs[:3]) == count(jobs)


@pytest.mark.parametrize("usual", [1, 14, 60, 400])
def test_the_strip_always_fits(usual):
    found = likely_range(
        TODAY,
        events=[Event(Step.LODGED, TODAY - timedelta(days=10))],
        expected_on=None,
        times=lead_times(usual, []),
    )
    assert found is not None
    strip = RangeView(found, TODAY)
    assert 1 <= strip.from_col <= strip.likely_col <= STRIP_DAYS
    assert strip.span >= 1
    assert strip.from_col + strip.span - 1 <= STRIP_DAYS
    assert strip.window_start <= TODAY


def test_own_lead_times_count_those_still_out(make_job, oscar, now):
    """A firm whose certificates used to take 10 days, and now wait for 40."""
    for n in range(6):
        lodge(only_the_certificate(make_job(f"Back {n}")), oscar, now, 60, granted(50))
    fresh = only_the_certificate(make_job("Fresh"))
    lodge(fresh, oscar, now, 0)
    kind = fresh.kind_id
    before = lead_times_on(TODAY)[kind]
    for n in range(6):
        lodge(only_the_certificate(make_job(f"Out {n}")), oscar, now, 40)
    after = lead_times_on(TODAY)[kind]
    assert (before.back, before.waiting) == (6, 1)
    assert (after.back, after.waiting) == (6, 7)
    assert after.curve.after(30) > before.curve.after(30)


def test_an_application_of_a_job_called_off_is_followed_no_further(
    make_job, oscar, now
):
    job = make_job("Called off")
    certificate = only_the_certificate(job)
    lodge(certificate, oscar, now, 40)
    close_job(job=job, how=Job.Closed.CALLED_OFF, note="", actor=oscar, at=now)
    at_risk = lead_times_on(TODAY + timedelta(days=300))[certificate.kind_id]
    then = lead_times_on(TODAY)[certificate.kind_id]
    assert at_risk.curve.days_for(0.8) == then.curve.days_for(0.8)


def test_the_page_says_half_and_four_in_five(
    make_job, oscar, now, as_person, time_machine
):
    time_machine.move_to(now, tick=False)
    certificate = only_the_certificate(make_job("Waits"))
    lodge(certificate, oscar, now, 2)
    said = as_person(oscar).get(URL).text
    assert "Half of such are back by" in said
    assert "four in five by" in said
    assert "A rule of thumb" in said


def granted(days_ago):
    return (Step.GRANTED, days_ago)
