"""The office's list of approvals that are in the way, with when they are likely back."""

from datetime import date, timedelta

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from jobs.domain.approvals import Event, Step
from jobs.domain.lead_times import ENOUGH, lead_days, likely_range
from jobs.queries.approvals import STRIP_DAYS, RangeView, approvals_to_chase
from jobs.services.approvals import record_step

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


# --- When it is likely back: pure reckoning ----------------------------------------


def events(*steps):
    """Steps of (step, days ago)."""
    return [Event(step, TODAY - timedelta(days=ago)) for step, ago in steps]


def back(past=(), told=None, steps=((Step.LODGED, 10),), usual=14):
    return likely_range(
        TODAY, events=events(*steps), usual_days=usual, expected_on=told, past=past
    )


def test_a_lead_time_leaves_out_the_days_that_waited_on_us():
    steps = (
        (Step.LODGED, 30),
        (Step.ASKED, 20),
        (Step.ANSWERED, 15),
        (Step.GRANTED, 5),
    )
    assert lead_days(events(*steps)) == 20
    assert lead_days(events((Step.LODGED, 30))) is None


def test_too_few_of_our_own_leave_the_rule_of_thumb():
    found = back(past=[9] * (ENOUGH - 1))
    start = TODAY - timedelta(days=10)
    assert (found.likely - start).days == 14
    assert (found.latest - start).days == 21
    assert found.past == 0


def test_enough_of_our_own_give_the_middle_half():
    found = back(past=[20, 24, 28, 32, 36])
    start = TODAY - timedelta(days=10)
    days = [(day - start).days for day in (found.earliest, found.likely, found.latest)]
    assert days == [24, 28, 32]
    assert found.past == 5


def test_what_they_told_us_wins_while_it_lies_ahead():
    ahead = TODAY + timedelta(days=4)
    assert back(told=ahead).likely == ahead
    assert back(told=TODAY - timedelta(days=1)).told is False


def test_it_is_never_back_before_tomorrow():
    late = back(steps=((Step.LODGED, 300),))
    assert late.earliest == late.likely == TODAY + timedelta(days=1)


def test_it_is_overdue_once_it_takes_longer_than_usual():
    usual, own = [14] * ENOUGH, [40] * ENOUGH
    assert back(steps=((Step.LODGED, 20),), past=usual).overdue
    assert not back(steps=((Step.LODGED, 20),), past=own).overdue


def test_it_is_overdue_once_the_day_they_gave_is_past():
    assert back(told=TODAY - timedelta(days=1)).overdue
    assert not back(told=TODAY + timedelta(days=1)).overdue


def test_what_waits_on_us_is_not_overdue_with_them():
    steps = ((Step.LODGED, 90), (Step.ASKED, 1))
    assert not back(steps=steps).overdue


def test_what_is_not_lodged_is_not_awaited():
    assert back(steps=()) is None
    assert back(steps=((Step.LODGED, 9), (Step.REFUSED, 1))) is None


@pytest.mark.parametrize("usual", [1, 14, 60, 400])
def test_the_strip_always_fits(usual):
    strip = RangeView(back(usual=usual), TODAY)
    assert 1 <= strip.from_col <= strip.likely_col <= STRIP_DAYS
    assert strip.span >= 1
    assert strip.from_col + strip.span - 1 <= STRIP_DAYS
    assert strip.window_start <= TODAY
