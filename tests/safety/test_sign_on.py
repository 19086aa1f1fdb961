"""Sign on with one's own login, or on the site lead's phone."""

from datetime import timedelta
from uuid import uuid4

import pytest
from django.core.exceptions import PermissionDenied

from jobs.domain.refusals import Refused, SentBefore
from jobs.models import LedgerEntry
from safety.domain.verbs import Verb
from safety.models import SignOn
from safety.services.sign_on import read_strokes
from safety.services.statements import issue_statement
from safety.services.work import start_work
from tests.safety.conftest import review, sign
from tests.safety.test_statements import deeper


def test_a_crew_member_signs_with_their_own_login(issued, cam, before):
    row = sign(issued, cam, before)
    assert (row.how, row.witnessed_by) == (SignOn.How.OWN_LOGIN, None)


def test_on_the_leads_phone_the_lead_is_the_witness(issued, cam, sal, before):
    row = sign(issued, cam, before, actor=sal)
    assert (row.how, row.witnessed_by) == (SignOn.How.LEADS_PHONE, sal)


def test_capitals_and_spaces_in_the_name_do_not_matter(issued, cam, before):
    row = sign(issued, cam, before, typed_name="  cam   CREW ")
    assert row.typed_name == "cam CREW"


def test_another_name_is_refused(issued, cam, before):
    with pytest.raises(Refused, match="Cam Crew"):
        sign(issued, cam, before, typed_name="Sam Crew")


def test_signing_twice_is_signing_once(issued, cam, sal, before, now):
    first = sign(issued, cam, before)
    again = sign(issued, cam, now, actor=sal)
    assert (again.pk, SignOn.objects.count()) == (first.pk, 1)


def test_the_same_phone_row_sent_twice_is_once(issued, cam, before):
    uid = uuid4()
    rows = [sign(issued, cam, before, client_uid=uid) for _ in range(2)]
    assert rows[0].pk == rows[1].pk


def test_the_id_of_one_signature_does_not_stand_for_another(issued, cam, sal, before):
    uid = uuid4()
    sign(issued, cam, before, actor=sal, client_uid=uid)
    with pytest.raises(SentBefore, match="Cam Crew signed on"):
        sign(issued, sal, before, client_uid=uid)


def test_the_phones_time_counts_but_never_runs_ahead(issued, cam, sal, before):
    early = sign(issued, cam, before, device_at=before - timedelta(minutes=9))
    ahead = sign(issued, sal, before, device_at=before + timedelta(hours=3))
    assert early.device_at == before - timedelta(minutes=9)
    assert ahead.device_at == before


def test_a_phone_with_a_wrong_clock_is_refused(issued, cam, before):
    with pytest.raises(Refused, match="clock"):
        sign(issued, cam, before, device_at=before - timedelta(days=90))


def test_an_old_version_cannot_be_signed(issued, booked, cam, oscar, now):
    deeper(booked, oscar, now)
    issue_statement(statement=review(booked, oscar, now), actor=oscar, at=now)
    with pytest.raises(Refused, match="not the one in force"):
        sign(issued, cam, now)


def test_a_version_that_is_not_issued_cannot_be_signed(booked, oscar, cam, before):
    waiting = review(booked, oscar, before)
    with pytest.raises(Refused, match="not the one in force"):
        sign(waiting, cam, before)


def test_somebody_who_is_not_booked_cannot_sign(issued, lou, before):
    with pytest.raises(Refused, match="not booked"):
        sign(issued, lou, before)


def test_somebody_who_helps_out_may_sign_once_they_are_here(issued, lou, sal, now):
    start_work(
        job=issued.job,
        people=[lou],
        actor=sal,
        at=now,
        device_at=None,
        client_uid=uuid4(),
    )
    assert sign(issued, lou, now, actor=sal).person == lou


def test_another_lead_cannot_collect_sign_ons(issued, cam, lou, before):
    with pytest.raises(PermissionDenied):
        sign(issued, cam, before, actor=lou)


@pytest.mark.parametrize("who", ["oscar", "olive", "gus"])
def test_only_people_on_site_sign(issued, before, who, request):
    with pytest.raises(PermissionDenied):
        sign(issued, request.getfixturevalue(who), before)


def test_the_ledger_says_who_signed_which_words(issued, cam, sal, before):
    sign(issued, cam, before, actor=sal)
    entry = LedgerEntry.objects.get(verb=Verb.SIGNED_ON)
    assert entry.actor == sal
    assert issued.digest in entry.payload
    assert '"witness":"Sal Lead"' in entry.payload


def test_drawn_strokes_are_points_and_nothing_else():
    assert read_strokes("[[[1, 2], [3, 4]]]") == [[[1, 2], [3, 4]]]
    assert read_strokes("") == []
    for wrong in ("{", "[[1]]", '[[["a", 1]]]', "[[[9999, 0]]]"):
        with pytest.raises(Refused):
            read_strokes(wrong)
