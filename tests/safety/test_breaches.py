"""What went ahead that should not have."""

from datetime import timedelta
from uuid import uuid4

from jobs.domain.approvals import Step
from jobs.services.approvals import record_step
from jobs.services.people import withdraw_ticket
from safety.domain.obligations import Obligation
from safety.models import JudgedMoment
from safety.queries.breaches import breaches_between
from safety.services.judging import judge_again
from safety.services.work import start_task, start_work
from tests.safety.conftest import MONDAY, check, sign

HOUR = timedelta(hours=1)


def start(job, people, actor, at, **values):
    plain = {"device_at": None, "client_uid": uuid4()}
    return start_work(job=job, people=people, actor=actor, at=at, **(plain | values))


def found(firm, jobs=None):
    return breaches_between(jobs, MONDAY, MONDAY, firm).breaches


def rules(firm):
    return sorted(breach.hold.rule for breach in found(firm))


def test_work_under_all_its_papers_is_no_breach(signed, booked, sal, cam, now, firm):
    check(booked, sal, now, here=[sal, cam])
    task = booked.visits.first().tasks.first()
    start_task(task=task, actor=sal, at=now + HOUR, device_at=None)
    looked = breaches_between(None, MONDAY, MONDAY, firm)
    assert [work.what for work in looked.evidence] == [
        "Said go",
        "Started work",
        "Started work",
        "Task started",
    ]
    assert (looked.breaches, looked.unjudged) == ((), 0)


def test_work_before_the_check_is_one(signed, booked, sal, now, firm):
    start(booked, [sal], sal, now)
    (breach,) = found(firm)
    assert breach.obligation is Obligation.DAILY_CHECK
    assert (breach.moment, breach.work[0].who) == (now, "Sal Lead")


def test_work_without_a_statement_is_one(booked, sal, now, firm):
    start(booked, [sal], sal, now)
    assert rules(firm) == ["daily_check.missing", "statement.missing"]


def test_work_by_somebody_who_had_not_signed_is_one(
    signed, booked, sal, lou, now, firm
):
    check(booked, sal, now, here=[sal])
    start(booked, [lou], sal, now + HOUR)
    (breach,) = found(firm)
    assert breach.obligation is Obligation.SIGN_ON
    assert "Lou Lead" in breach.hold.says


def test_signing_afterwards_does_not_mend_it(signed, booked, sal, lou, now, firm):
    check(booked, sal, now, here=[sal])
    start(booked, [lou], sal, now + HOUR)
    sign(signed, lou, now + 2 * HOUR, actor=sal)
    judge_again(first=MONDAY, last=MONDAY, firm=firm, at=now + 3 * HOUR)
    assert rules(firm) == ["sign_on.missing"]


def test_a_task_past_a_hold_point_is_one(signed, booked, sal, cam, now, firm):
    check(booked, sal, now, here=[sal, cam])
    first = booked.tasks.get(key="set_out")
    follower = booked.tasks.filter(links_in__predecessor=first).first()
    start_task(task=follower, actor=sal, at=now + HOUR, device_at=None)
    assert Obligation.HOLD_POINTS in {breach.obligation for breach in found(firm)}


def test_a_task_without_the_ticket_it_asks_for_is_one(
    signed, booked, sal, oscar, now, firm
):
    for ticket in sal.tickets.all():
        withdraw_ticket(ticket=ticket, actor=oscar, at=now)
    check(booked, sal, now + HOUR, here=[sal])
    asks = booked.visits.first().tasks.exclude(spec__tickets=[]).first()
    start_task(task=asks, actor=sal, at=now + HOUR, device_at=None)
    assert Obligation.TICKETS in {breach.obligation for breach in found(firm)}


def test_days_and_rules_are_told_once_whoever_worked(booked, sal, cam, now, firm):
    start(booked, [sal, cam], sal, now)
    start_task(task=booked.tasks.first(), actor=sal, at=now + HOUR, device_at=None)
    statements = [b for b in found(firm) if b.hold.rule == "statement.missing"]
    assert len(statements) == 1
    assert len(statements[0].work) == 3


def test_an_approval_recorded_later_but_granted_before_clears_it(
    make_job, oscar, sal, before, now, firm
):
    job = make_job(approved=False)
    start(job, [sal], sal, now)
    assert "approval.engineer" in rules(firm)
    engineer = job.approvals.get(kind__key="engineer")
    record_step(
        approval=engineer,
        step=Step.GRANTED,
        happened_on=before.date(),
        actor=oscar,
        at=now + HOUR,
    )
    judge_again(first=MONDAY, last=MONDAY, firm=firm, at=now + HOUR)
    assert "approval.engineer" not in rules(firm)


def test_a_check_that_reaches_the_server_late_counts_from_when_it_was_made(
    signed, booked, sal, cam, now, firm
):
    start(booked, [sal], sal, now + HOUR)
    assert rules(firm) == ["daily_check.missing"]
    check(booked, sal, now + 3 * HOUR, here=[sal, cam], device_at=now)
    assert rules(firm) == []


def test_the_cache_can_be_thrown_away(booked, sal, now, firm):
    start(booked, [sal], sal, now)
    was = rules(firm)
    JudgedMoment.objects.all().delete()
    assert breaches_between(None, MONDAY, MONDAY, firm).unjudged == 1
    assert judge_again(first=MONDAY, last=MONDAY, firm=firm, at=now + HOUR) == 1
    assert rules(firm) == was


def test_judging_twice_judges_nothing_new(booked, sal, now, firm):
    start(booked, [sal], sal, now)
    assert judge_again(first=MONDAY, last=MONDAY, firm=firm, at=now + HOUR) == 0
