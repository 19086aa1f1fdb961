"""Stop work on site, and release it once somebody has looked into it."""

import re
from datetime import timedelta
from uuid import uuid4

import pytest
import time_machine
from django.core.exceptions import PermissionDenied

from jobs.domain.refusals import Refused, SentBefore
from jobs.hold_registry import holds
from jobs.models import Job, LedgerEntry
from jobs.services.jobs import close_job
from safety.domain.obligations import CHECK_MISSING, CHECK_NO_GO
from safety.domain.verbs import Verb
from safety.models import DailyCheck, JudgedMoment, StopWork
from safety.services.stop_work import release_work, stop_work
from safety.services.work import start_task, start_work
from tests.safety.conftest import check, issue, text_of
from tests.safety.test_statements import deeper

HOUR = timedelta(hours=1)
Kind, Says = StopWork.Kind, StopWork.Statement


def stop(job, actor, at, **values):
    plain = {
        "kind": Kind.INCIDENT,
        "what": "A sheet slid off and hit Cam on the arm.",
        "device_at": None,
        "client_uid": uuid4(),
    }
    return stop_work(job=job, actor=actor, at=at, **(plain | values))


def release(row, actor, at, **values):
    plain = {"found": "Sheets are tied now.", "statement_says": Says.FITS}
    return release_work(stop=row, actor=actor, at=at, **(plain | values))


def stopping(job, at):
    return [h for h in holds([job], at)[job.pk] if h.rule.startswith("stop_work")]


@pytest.mark.parametrize("who", ["sal", "cam", "oscar"])
def test_whoever_is_on_the_job_may_stop_it(booked, now, who, request):
    person = request.getfixturevalue(who)
    stop(booked, person, now)
    (hold,) = stopping(booked, now)
    assert hold.stops_work()
    assert hold.says.startswith(f"{person.name} stopped work: A sheet slid off")


def test_it_holds_from_its_moment_until_it_is_released_and_not_before(
    booked, sal, oscar, now
):
    row = stop(booked, sal, now)
    release(row, oscar, now + HOUR)
    moments = (now - HOUR, now, now + HOUR - timedelta(seconds=1), now + HOUR)
    assert [len(stopping(booked, at)) for at in moments] == [0, 1, 1, 0]


def test_no_check_says_go_while_work_is_stopped(signed, booked, sal, now):
    stop(booked, sal, now)
    with pytest.raises(Refused, match="stopped work"):
        check(booked, sal, now, here=[sal])


def test_work_recorded_before_the_stop_reached_us_is_looked_at_again(
    signed, booked, sal, cam, now
):
    check(booked, sal, now, here=[sal])
    started = {"job": booked, "people": [cam], "actor": sal, "device_at": None}
    start_work(at=now + HOUR, client_uid=uuid4(), **started)
    stop(booked, cam, now + 2 * HOUR, device_at=now + HOUR / 2)
    judged = {row.at: row.holds for row in JudgedMoment.objects.all()}
    rules = [{hold["rule"] for hold in judged[at]} for at in (now, now + HOUR)]
    assert "stop_work.incident" not in rules[0]
    assert "stop_work.incident" in rules[1]


def test_sent_twice_is_once_and_other_words_are_asked_about(booked, sal, now):
    uid = uuid4()
    first = stop(booked, sal, now, client_uid=uid)
    assert stop(booked, sal, now, client_uid=uid) == first
    with pytest.raises(SentBefore, match="work stopped by Sal Lead"):
        stop(booked, sal, now, client_uid=uid, what="The scaffold leans.")


def test_both_ends_are_in_the_ledger_and_the_row_stays(booked, sal, oscar, now):
    row = release(stop(booked, sal, now), oscar, now + HOUR)
    verbs = [Verb.WORK_STOPPED, Verb.WORK_RELEASED]
    entries = LedgerEntry.objects.filter(chain=booked.chain, verb__in=verbs)
    assert [(e.verb, e.actor) for e in entries.order_by("pk")] == [
        (Verb.WORK_STOPPED, sal),
        (Verb.WORK_RELEASED, oscar),
    ]
    assert StopWork.objects.get() == row


@pytest.mark.parametrize("who", ["oscar", "olive"])
def test_the_office_or_the_owner_releases_it(booked, sal, now, who, request):
    person = request.getfixturevalue(who)
    assert release(stop(booked, sal, now), person, now).released_by == person


@pytest.mark.parametrize("who", ["sal", "cam", "gus"])
def test_nobody_on_site_releases_it(booked, sal, now, who, request):
    row = stop(booked, sal, now)
    with pytest.raises(PermissionDenied):
        release(row, request.getfixturevalue(who), now)


def test_it_is_released_once_and_with_a_finding(booked, sal, oscar, now):
    row = stop(booked, sal, now)
    with pytest.raises(Refused, match="Say what was found"):
        release(row, oscar, now, found=" ok ")
    release(row, oscar, now)
    with pytest.raises(Refused, match="already"):
        release(row, oscar, now, found="Something else.")


def test_a_new_version_that_nobody_issued_is_not_believed(
    issued, booked, sal, oscar, now
):
    row = stop(booked, sal, now)
    with pytest.raises(Refused, match="No version was issued"):
        release(row, oscar, now + HOUR, statement_says=Says.NEW)
    deeper(booked, oscar, now + HOUR)
    issue(booked, oscar, now + HOUR)
    assert release(row, oscar, now + HOUR, statement_says=Says.NEW).released_at


def test_it_says_what_happened_and_nobody_stops_a_closed_job(
    booked, sal, oscar, gus, now
):
    with pytest.raises(Refused, match="what is not safe"):
        stop(booked, sal, now, what=" no ")
    with pytest.raises(PermissionDenied):
        stop(booked, gus, now)
    close_job(job=booked, how=Job.Closed.CALLED_OFF, note="", actor=oscar, at=now)
    with pytest.raises(Refused, match="closed"):
        stop(booked, sal, now)


@pytest.mark.usefixtures("morning")
def test_a_crew_member_stops_work_on_the_phone_and_the_office_releases_it(
    signed, booked, cam, sal, oscar, page
):
    typed = {"kind": "incident", "what": "Cam's arm is cut.", "client_uid": uuid4()}
    response = page(cam, "safety:stop_work_add", booked.pk, data=typed)
    row = StopWork.objects.get()
    words = text_of(page(cam, "safety:stop_work_detail", row.pk))
    assert response.status_code == 302
    assert "The regulator is told at once" in words
    assert "Release the work" not in words
    day = text_of(page(sal, "safety:site_day_detail", booked.pk))
    assert "Cam Crew stopped work: Cam's arm is cut." in day
    found = {"found": "A guard was missing; it is on.", "statement_says": "fits"}
    page(oscar, "safety:stop_work_release", row.pk, data=found)
    job = text_of(page(oscar, "jobs:job_detail", booked.pk))
    assert "Stopped work" in job
    assert "Released Oscar Office" in job


@pytest.mark.usefixtures("morning")
def test_a_refused_release_keeps_what_was_typed(booked, sal, oscar, page, now):
    row = stop(booked, sal, now)
    typed = {"found": "The ladder was changed.", "statement_says": "new"}
    response = page(oscar, "safety:stop_work_release", row.pk, data=typed)
    assert response.status_code == 422
    assert "The ladder was changed." in response.text
    row.refresh_from_db()
    assert row.released_at is None


def test_after_an_incident_the_statement_is_kept_for_the_years_of_the_place(
    issued, booked, sal, oscar, page, now
):
    words = text_of(page(oscar, "safety:statement_detail", issued.pk))
    assert "None is on record here" in words
    stop(booked, sal, now, kind=Kind.UNSAFE)
    assert "None is on record here" in text_of(
        page(oscar, "safety:statement_detail", issued.pk)
    )
    stop(booked, sal, now)
    words = text_of(page(oscar, "safety:statement_detail", issued.pk))
    assert "of Mon 3 Aug 2026, where it had to be notified: to Thu 3 Aug 2028" in words


@pytest.mark.usefixtures("morning")
@pytest.mark.parametrize("who", ["oscar", "olive"])
def test_the_release_leads_to_the_plan_and_back(booked, sal, page, now, who, request):
    person, row = request.getfixturevalue(who), stop(booked, sal, now)
    shown = page(person, "safety:stop_work_release", row.pk).text
    assert f"/jobs/{booked.pk}/plan/" in shown
    assert f"/stops/{row.pk}/" in shown
    assert page(person, "safety:plan_detail", booked.pk).status_code == 200


@pytest.mark.usefixtures("morning")
def test_who_only_looked_at_the_form_goes_back_to_the_day(booked, cam, page):
    words = text_of(page(cam, "safety:stop_work_add", booked.pk))
    assert "Back to the day on site" in words


def missing(job, at):
    return [h for h in holds([job], at)[job.pk] if h.rule == CHECK_MISSING]


def test_a_check_from_before_the_release_does_not_count_any_more(
    signed, booked, sal, cam, oscar, now
):
    check(booked, sal, now, here=[sal])
    row = stop(booked, cam, now + HOUR)
    release(row, oscar, now + 2 * HOUR)
    moments = (now, now + HOUR, now + 2 * HOUR - timedelta(seconds=1))
    assert [missing(booked, at) for at in moments] == [[], [], []]
    (hold,) = missing(booked, now + 2 * HOUR)
    assert hold.stops_work()
    assert "stopped and released since today's hazard check" in hold.says
    check(booked, sal, now + 3 * HOUR, here=[sal])
    assert missing(booked, now + 3 * HOUR) == []
    assert missing(booked, now + timedelta(hours=2, minutes=30)) == [hold]


def test_work_after_the_release_without_a_new_check_is_a_breach(
    signed, booked, sal, cam, oscar, now
):
    check(booked, sal, now, here=[sal])
    release(stop(booked, cam, now + HOUR), oscar, now + 2 * HOUR)
    at = now + 3 * HOUR
    start_task(task=booked.tasks.first(), actor=sal, at=at, device_at=None)
    kept = JudgedMoment.objects.get(job=booked, at=at)
    assert CHECK_MISSING in {hold["rule"] for hold in kept.holds}


def test_a_no_go_holds_on_after_a_release(signed, booked, sal, oscar, now):
    check(booked, sal, now, outcome=DailyCheck.Outcome.NO_GO, note="Storm.")
    release(stop(booked, sal, now + HOUR), oscar, now + 2 * HOUR)
    found = {h.rule for h in holds([booked], now + 2 * HOUR)[booked.pk]}
    assert CHECK_NO_GO in found
    assert CHECK_MISSING not in found


def test_the_release_of_another_job_changes_nothing(
    signed, booked, make_job, sal, oscar, now
):
    check(booked, sal, now, here=[sal])
    release(stop(make_job("Other"), sal, now + HOUR), oscar, now + 2 * HOUR)
    assert missing(booked, now + 2 * HOUR) == []


def test_the_day_says_who_stopped_and_who_released_and_asks_for_a_check(
    signed, booked, sal, cam, oscar, page, now
):
    check(booked, sal, now, here=[sal, cam])
    release(stop(booked, cam, now + HOUR), oscar, now + 2 * HOUR)
    with time_machine.travel(now + 2 * HOUR, tick=False):
        response = page(sal, "safety:site_day_detail", booked.pk)
    assert response.context["verdict"].word == "Not yet"
    words = text_of(response)
    assert re.search(
        "Cam Crew stopped work , Mon 3 Aug 2026, 11.*: A sheet slid", words
    )
    assert re.search("Oscar Office released it , Mon 3 Aug.*: Sheets are tied", words)
    assert "that check does not count any more" in words
    assert "Start all the same" in words
