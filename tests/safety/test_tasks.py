"""Work in the background of safety."""

from datetime import timedelta
from uuid import uuid4

import pytest

from safety.models import JudgedMoment, RulesRevision
from safety.services.work import start_work
from safety.tasks import judge_work, render_statement

pytestmark = pytest.mark.usefixtures("morning")


def test_past_work_is_judged_and_the_rules_kept(booked, sal, now):
    at = now - timedelta(days=2)
    start_work(
        job=booked,
        people=[sal],
        actor=sal,
        at=at,
        device_at=None,
        client_uid=uuid4(),
    )
    JudgedMoment.objects.all().delete()
    RulesRevision.objects.all().delete()
    judge_work()
    assert JudgedMoment.objects.get().at == at
    assert RulesRevision.objects.count() == 1


def test_before_there_is_a_firm_or_a_library_nothing_happens(db):
    judge_work()
    assert not RulesRevision.objects.exists()


def test_a_firm_without_a_library_is_no_error(firm):
    judge_work()
    assert not RulesRevision.objects.exists()


def test_a_print_is_made_without_anybody_waiting_for_it(issued):
    render_statement(issued.pk)
    render_statement(issued.pk)
