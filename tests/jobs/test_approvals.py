"""Approvals of a job: their steps, whether they are needed, when they are back."""

from datetime import date

import pytest
from django.core.exceptions import PermissionDenied
from django.urls import reverse
from time_machine import travel

from jobs.domain.approvals import Step
from jobs.domain.refusals import Refused
from jobs.models import Approval, ApprovalKind, Document, LedgerEntry
from jobs.services.approvals import record_step

LODGED = {"step": "lodged", "happened_on": "2026-07-20", "reference": "DA-17"}


@pytest.fixture(autouse=True)
def on_the_day(now):
    """Pages read the clock; it stands still."""
    with travel(now, tick=False):
        yield


@pytest.fixture
def certificate(job):
    """The engineer's certificate of Sal's job."""
    return job.approvals.get(kind__key="engineer")


def url(name, approval):
    return reverse(f"jobs:{name}", args=[approval.pk])


def record(browser, approval, **typed):
    return browser.post(url("approval_step", approval), {**LODGED, **typed})


def test_a_step_is_recorded_with_its_paper(as_person, oscar, certificate, paper):
    record(as_person(oscar), certificate, document=paper)
    event = certificate.events.get()
    assert (event.step, event.happened_on) == ("lodged", date(2026, 7, 20))
    assert event.document.job == certificate.job
    verbs = list(LedgerEntry.objects.values_list("verb", flat=True))
    assert "job:approval:step" in verbs
    assert "job:document:added" in verbs


@pytest.mark.parametrize(
    ("typed", "says"),
    [
        ({"happened_on": "2026-08-04"}, "has not come yet"),
        ({"step": "refused"}, "Choose one from the list"),
        ({"step": "granted_if"}, "conditions"),
        ({"step": "lodged", "expires_on": "2027-01-01"}, "Only a granted approval"),
        (
            {
                "step": "granted",
                "happened_on": "2026-07-01",
                "expires_on": "2026-06-01",
            },
            "expire before",
        ),
    ],
)
def test_what_cannot_be_is_refused(as_person, oscar, certificate, typed, says):
    response = record(as_person(oscar), certificate, **typed)
    assert response.status_code == 422
    assert says in response.text
    assert not certificate.events.exists()


def test_a_refused_step_keeps_no_paper(as_person, oscar, certificate, paper):
    record(as_person(oscar), certificate, happened_on="2026-08-04", document=paper)
    assert not Document.objects.exists()


def test_steps_follow_each_other_in_time(oscar, certificate, now):
    step = {"approval": certificate, "actor": oscar, "at": now}
    record_step(step=Step.LODGED, happened_on=date(2026, 7, 20), **step)
    with pytest.raises(Refused, match="before the step recorded last"):
        record_step(step=Step.ASKED, happened_on=date(2026, 7, 1), **step)
    with pytest.raises(Refused, match="cannot come next"):
        record_step(step=Step.ANSWERED, happened_on=date(2026, 7, 21), **step)


def test_only_steps_that_make_sense_are_offered(as_person, oscar, certificate):
    browser = as_person(oscar)
    record(browser, certificate)
    form = browser.get(url("approval_step", certificate)).context["form"]
    offered = {value for value, _ in form.fields["step"].choices}
    assert offered == {"asked", "granted", "granted_if", "refused", "withdrawn"}


def test_not_needed_wants_a_reason(as_person, oscar, certificate):
    browser, page = as_person(oscar), url("approval_needed", certificate)
    refused = browser.post(page, {"required": "False", "version": 1})
    assert refused.status_code == 422
    typed = {"required": "False", "not_required_reason": "Exempt", "version": 1}
    browser.post(page, typed)
    certificate.refresh_from_db()
    assert not certificate.required
    assert LedgerEntry.objects.filter(verb="job:approval:needed").exists()


def test_needed_after_all(as_person, oscar, certificate):
    browser, page = as_person(oscar), url("approval_needed", certificate)
    typed = {"required": "False", "not_required_reason": "Exempt", "version": 1}
    browser.post(page, typed)
    browser.post(page, {"required": "True", "version": 2})
    certificate.refresh_from_db()
    assert certificate.required
    assert certificate.not_required_reason == ""


def test_what_they_told_us(as_person, oscar, certificate):
    browser = as_person(oscar)
    record(browser, certificate)
    typed = {"expected_on": "2026-08-21", "version": 1}
    browser.post(url("approval_expected", certificate), typed)
    page = browser.get(url("approval_detail", certificate)).text
    assert "They said Fri 21 Aug 2026" in page


def test_a_stale_form_is_told(as_person, oscar, certificate):
    browser, page = as_person(oscar), url("approval_expected", certificate)
    browser.post(page, {"expected_on": "2026-08-21", "version": 1})
    late = browser.post(page, {"expected_on": "2026-08-28", "version": 1})
    assert late.status_code == 422
    assert "2026-08-21" in late.text


def test_a_kind_of_the_firms_own_reaches_new_jobs_only(
    as_person, oscar, certificate, make_job
):
    typed = {
        "name": "Heritage consent",
        "given_by": "Heritage office",
        "basis": "law",
        "usual_days": "30",
        "needed_when_attached": "on",
    }
    as_person(oscar).post(reverse("jobs:approval_kind_add"), typed)
    assert certificate.job.approvals.count() == 2
    assert make_job("Next").approvals.filter(kind__key="heritage-consent").exists()
    carport = make_job("Carport", "freestanding_flat")
    assert not carport.approvals.get(kind__key="heritage-consent").required


def test_a_kind_is_there_once(as_person, oscar, certificate):
    typed = {"name": "Engineer", "given_by": "x", "basis": "law", "usual_days": "1"}
    response = as_person(oscar).post(reverse("jobs:approval_kind_add"), typed)
    assert response.status_code == 422


def test_one_more_kind_for_one_job(as_person, oscar, job):
    kind = ApprovalKind.objects.create(key="heritage", name="Heritage", given_by="x")
    as_person(oscar).post(
        reverse("jobs:approval_add", args=[job.pk]), {"kind": kind.pk}
    )
    assert Approval.objects.filter(job=job, kind=kind).exists()
    assert LedgerEntry.objects.filter(verb="job:approval:added").exists()


@pytest.mark.parametrize("name", ["approval_step", "approval_needed"])
def test_only_the_office_records(as_person, olive, sal, lou, certificate, name):
    for person in (olive, sal):
        assert as_person(person).get(url(name, certificate)).status_code == 403
    assert as_person(lou).get(url(name, certificate)).status_code == 404


def test_the_lead_reads(as_person, sal, certificate):
    page = as_person(sal).get(url("approval_detail", certificate))
    assert page.status_code == 200
    assert "Record what happened" not in page.text


def test_the_service_asks_too(sal, certificate, now):
    with pytest.raises(PermissionDenied):
        record_step(
            approval=certificate,
            step=Step.LODGED,
            happened_on=date(2026, 7, 1),
            actor=sal,
            at=now,
        )


@pytest.mark.parametrize(
    ("who", "last", "offered"),
    [
        ("oscar", "refused", True),
        ("oscar", "asked", False),
        ("sal", "refused", False),
    ],
)
def test_a_refusal_leads_the_office_to_plan_around_it(
    as_person, certificate, request, oscar, who, last, offered
):
    office = as_person(oscar)
    record(office, certificate)
    record(office, certificate, step=last, happened_on="2026-07-27")
    person = request.getfixturevalue(who)
    shown = as_person(person).get(url("approval_detail", certificate)).text
    assert ("Plan around it" in shown) is offered
