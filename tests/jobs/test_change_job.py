"""Change a job, close it, take it up again."""

import json

import pytest
from django.urls import reverse

from jobs.domain.holds import Basis, Hold, Stops
from jobs.domain.refusals import Refused
from jobs.domain.roles import Role
from jobs.models import Job, LedgerEntry
from jobs.queries.facts import current_take_off
from jobs.queries.handover import Kind, left_open
from jobs.queries.sequence import sequence_of
from jobs.services.jobs import close_job, set_dimensions
from tests.jobs.conftest import DIMS


def page(name, job):
    return reverse(f"jobs:{name}", args=[job.pk])


def test_a_change_is_recorded(as_person, oscar, job, lou):
    change = {
        "title": "Flat patio, long",
        "site_lead": lou.pk,
        "weight": 2,
        "version": 1,
    }
    as_person(oscar).post(page("job_edit", job), change)
    job.refresh_from_db()
    assert (job.title, job.site_lead, job.weight) == ("Flat patio, long", lou, 2)
    entry = LedgerEntry.objects.get(verb="job:job:changed")
    assert entry.chain == job.chain
    assert "Flat patio, long" in entry.payload


def test_a_stale_form_is_told(as_person, oscar, job):
    browser, base = as_person(oscar), {"weight": 1, "version": 1}
    browser.post(page("job_edit", job), base | {"title": "First"})
    late = browser.post(page("job_edit", job), base | {"title": "Second"})
    assert late.status_code == 422
    assert "Oscar Office" in late.text
    assert "“First”" in late.text


def test_handing_over_closes_it(as_person, oscar, job):
    as_person(oscar).post(
        page("job_close", job), {"how": "handed_over", "note": "Done", "reason": "So"}
    )
    job.refresh_from_db()
    assert not job.is_open
    assert job.closed_how == Job.Closed.HANDED_OVER
    assert LedgerEntry.objects.filter(verb="job:job:closed").exists()


def test_what_is_open_is_listed_and_needs_a_reason(as_person, oscar, job):
    browser = as_person(oscar)
    shown = browser.get(page("job_close", job)).text
    first = job.tasks.order_by("position").first()
    assert "Open holds" in shown
    assert "Hold points not passed" in shown
    assert f"<li>{first.name}</li>" in shown
    typed = {"how": "handed_over", "note": "Keys are back", "reason": " "}
    refused = browser.post(page("job_close", job), typed)
    assert refused.status_code == 422
    assert "Say why the job is handed over" in refused.text
    assert "Keys are back" in refused.text
    job.refresh_from_db()
    assert job.is_open


def test_the_ledger_keeps_the_reason_with_what_was_open(as_person, oscar, job):
    typed = {"how": "handed_over", "reason": "The client moves in today"}
    as_person(oscar).post(page("job_close", job), typed)
    entry = LedgerEntry.objects.get(verb="job:job:closed")
    kept = json.loads(entry.payload)
    assert kept["reason"] == "The client moves in today"
    assert job.tasks.order_by("position").first().name in kept["tasks"]
    assert "hold_points" in kept


def test_tasks_that_are_not_called_for_are_not_missed(job, oscar, now):
    set_dimensions(job=job, version=None, dimensions=DIMS, actor=oscar, at=now)
    take_off = current_take_off(job)
    wanted = [view.task for view in sequence_of(job, take_off) if view.called_for]
    assert len(wanted) < job.tasks.count()
    listed = [one.says for one in left_open(job, now)[Kind.TASKS]]
    assert listed == [task.name for task in wanted]


def test_with_nothing_open_no_reason_is_asked(as_person, oscar, job, monkeypatch):
    monkeypatch.setattr("jobs.hold_registry._providers", tuple)
    monkeypatch.setattr("jobs.queries.handover._providers", tuple)
    job.tasks.update(done_at=job.created_at)
    assert "all the same" not in as_person(oscar).get(page("job_close", job)).text
    as_person(oscar).post(page("job_close", job), {"how": "handed_over"})
    job.refresh_from_db()
    assert job.closed_how == "handed_over"


def test_calling_off_asks_for_no_reason(as_person, oscar, job):
    as_person(oscar).post(page("job_close", job), {"how": "called_off"})
    job.refresh_from_db()
    assert job.closed_how == "called_off"


def test_a_closed_job_cannot_be_closed_again(oscar, job, now):
    close = {"job": job, "note": "", "actor": oscar, "at": now}
    close_job(how=Job.Closed.CALLED_OFF, **close)
    with pytest.raises(Refused, match="closed already"):
        close_job(how=Job.Closed.HANDED_OVER, **close)


def test_taking_up_again_needs_a_reason(as_person, oscar, job):
    browser = as_person(oscar)
    browser.post(page("job_close", job), {"how": "called_off"})
    assert browser.post(page("job_reopen", job), {"reason": ""}).status_code == 422
    browser.post(page("job_reopen", job), {"reason": "The client came back"})
    job.refresh_from_db()
    assert job.is_open


def test_an_open_job_cannot_be_opened_again(as_person, oscar, job):
    response = as_person(oscar).post(page("job_reopen", job), {"reason": "Why not"})
    assert response.status_code == 422
    assert "open already" in response.text


def test_a_hold_on_handover_stops_it(as_person, oscar, job, monkeypatch):
    monkeypatch.setattr("jobs.hold_registry._providers", lambda: (gutter_not_measured,))
    browser = as_person(oscar)
    refused = browser.post(page("job_close", job), {"how": "handed_over"})
    assert refused.status_code == 422
    assert "The gutter fall was never measured." in refused.text
    browser.post(page("job_close", job), {"how": "called_off"})
    job.refresh_from_db()
    assert job.closed_how == "called_off"


def gutter_not_measured(jobs, at):
    """A provider as another app would have it."""
    for job in jobs:
        yield Hold(
            rule="test.gutter",
            job_id=job.pk,
            says="The gutter fall was never measured.",
            stops=frozenset({Stops.HANDOVER}),
            cleared_by=frozenset({Role.SITE_LEAD}),
            clear_by_doing="measure it.",
            basis=Basis.PRACTICE,
        )


@pytest.mark.parametrize("name", ["job_edit", "job_close", "job_reopen"])
def test_the_lead_reads_and_a_stranger_sees_nothing(as_person, job, sal, lou, name):
    assert as_person(sal).get(page(name, job)).status_code == 403
    assert as_person(lou).get(page(name, job)).status_code == 404
