"""Note who was asked about a statement, and what came of it."""

from datetime import timedelta
from typing import Any
from uuid import uuid4

import pytest
from django.core.exceptions import PermissionDenied

from jobs.domain.refusals import Refused, SentBefore
from jobs.hold_registry import holds
from jobs.models import LedgerEntry
from safety.domain.verbs import Verb
from safety.models import Consultation
from safety.services.consultation import note_consultation
from tests.safety.conftest import MONDAY, issue, text_of
from tests.safety.test_statements import deeper

SAID = {
    "who": "Cam and Kit",
    "said": "The ladder sinks beside the slab.",
    "came_of_it": "A board goes under it.",
}


def note(statement, actor, at, **values):
    plain: dict[str, Any] = {"held_on": MONDAY, "client_uid": uuid4(), **SAID}
    return note_consultation(
        statement=statement, actor=actor, at=at, **(plain | values)
    )


@pytest.mark.parametrize("who", ["oscar", "sal"])
def test_the_office_and_the_lead_note_a_talk(issued, now, who, request):
    person = request.getfixturevalue(who)
    row = note(issued, person, now)
    entry = LedgerEntry.objects.get(verb=Verb.CONSULTED)
    assert (row.noted_by, entry.actor) == (person, person)
    assert "A board goes under it." in entry.payload


@pytest.mark.parametrize("who", ["cam", "lou", "olive", "gus"])
def test_nobody_else_does(issued, now, who, request):
    with pytest.raises(PermissionDenied):
        note(issued, request.getfixturevalue(who), now)


def test_the_version_and_its_signatures_stay_as_they_are(signed, booked, sal, now):
    before = signed.digest, holds([booked], now)[booked.pk]
    note(signed, sal, now)
    signed.refresh_from_db()
    assert (signed.digest, holds([booked], now)[booked.pk]) == before


def test_sent_twice_is_once_and_other_words_are_asked_about(issued, sal, now):
    uid = uuid4()
    assert note(issued, sal, now, client_uid=uid) == note(
        issued, sal, now, client_uid=uid
    )
    with pytest.raises(SentBefore, match="Cam and Kit"):
        note(issued, sal, now, client_uid=uid, said="Nothing.")
    assert Consultation.objects.count() == 1


@pytest.mark.parametrize(
    ("wrong", "says"),
    [
        ({"held_on": MONDAY + timedelta(days=1)}, "a day that has been"),
        ({"who": " "}, "Name who was asked"),
        ({"who": "x" * 241}, "fewer people"),
        ({"said": ""}, "what they said"),
        ({"came_of_it": " "}, "what came of it"),
    ],
)
def test_it_says_who_and_what(issued, sal, now, wrong, says):
    with pytest.raises(Refused, match=says):
        note(issued, sal, now, **wrong)
    assert not Consultation.objects.exists()


def test_a_version_out_of_use_takes_no_more(issued, booked, oscar, now):
    deeper(booked, oscar, now)
    issue(booked, oscar, now)
    with pytest.raises(Refused, match="newest version"):
        note(issued, oscar, now)


@pytest.mark.usefixtures("morning")
def test_the_talk_stands_on_the_page_of_the_version(issued, sal, cam, page):
    typed = {"held_on": "2026-08-03", "client_uid": uuid4(), **SAID}
    page(sal, "safety:consultation_add", issued.pk, data=typed)
    words = text_of(page(cam, "safety:statement_detail", issued.pk))
    assert "Cam and Kit, Mon 3 Aug 2026" in words
    assert "A board goes under it." in words
    assert "Note who was asked" not in words


@pytest.mark.usefixtures("morning")
def test_a_refused_note_keeps_what_was_typed(issued, sal, page):
    typed = {"held_on": "2027-01-01", "client_uid": uuid4(), **SAID}
    response = page(sal, "safety:consultation_add", issued.pk, data=typed)
    assert response.status_code == 422
    assert "The ladder sinks beside the slab." in response.text


@pytest.mark.usefixtures("morning")
def test_the_form_leads_back_to_the_statement(issued, sal, page):
    words = text_of(page(sal, "safety:consultation_add", issued.pk))
    assert "Back to the statement" in words
