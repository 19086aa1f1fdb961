"""Bookings by email: one mail a change, and answers read back."""

from datetime import UTC, date, datetime, timedelta
from email import message_from_bytes, policy
from io import StringIO
from typing import Any
from zoneinfo import ZoneInfo

import icalendar
import pytest
from django.core import mail
from django.core.management import CommandError, call_command

from jobs.domain.refusals import Refused
from jobs.models import Job, LedgerEntry
from jobs.services.jobs import close_job
from scheduling.domain.verbs import Verb
from scheduling.feeds import Reply
from scheduling.models import Invitation
from scheduling.queries.invitations import answers_of, spans_of, uid_of
from scheduling.services.absences import record_absence
from scheduling.services.invitations import (
    record_replies,
    record_reply,
    send_invitation,
    set_wish,
    settle_invitations,
)
from tests.scheduling.plans import publish, slot

TUESDAY, WEDNESDAY, THURSDAY = (date(2026, 8, day) for day in (4, 5, 6))


@pytest.fixture(autouse=True)
def clock(time_machine, now):
    """What runs in the worker reads the clock."""
    time_machine.move_to(now, tick=False)
    return time_machine


@pytest.fixture
def after_commit(django_capture_on_commit_callbacks):
    """Do what comes after commit as the worker would."""
    return lambda: django_capture_on_commit_callbacks(execute=True)


@pytest.fixture
def invited(kim, sal, now):
    """Kim wants invitations; Sal, of the same crew, does not."""
    set_wish(person=kim, wanted=True, at=now)


@pytest.fixture
def book(job, blue, oscar, now, after_commit, clock):
    """Publish one visit, of the blue crew unless told otherwise; None takes it off."""

    def do(first=TUESDAY, last=WEDNESDAY, crew=blue, at=now):
        places = {(job.pk, 1): (crew, slot(first), slot(last, "pm"))} if crew else {}
        clock.move_to(at, tick=False)
        with after_commit():
            publish(places, oscar, at)

    return do


def opened(message):
    """The calendar of a mail, as another mail program unpacks it."""
    parsed = message_from_bytes(message.message().as_bytes(), policy=policy.default)
    (part,) = [p for p in parsed.walk() if p.get_content_type() == "text/calendar"]
    raw: Any = part.get_payload(decode=True)
    calendar = icalendar.Calendar.from_ical(raw)
    assert part["Content-Type"].params["method"] == str(calendar["method"])
    return calendar, calendar.walk("VEVENT")[0]


def sent():
    """What was mailed since last asked: method, sequence, status."""
    found = [opened(message) for message in mail.outbox]
    mail.outbox.clear()
    return [
        (str(calendar["method"]), event["sequence"], str(event["status"]))
        for calendar, event in found
    ]


def test_who_asked_is_invited_and_nobody_else(invited, book, kim):
    book()
    assert sent() == [("REQUEST", 0, "CONFIRMED")]
    row = Invitation.objects.get()
    assert (row.person, row.sent_to, row.mailed_sequence) == (kim, kim.email, 0)


def test_a_mail_is_what_the_standards_ask(invited, book, kim, settings):
    settings.CALENDAR_REPLIES = "plan@testfield.example"
    book()
    (message,) = mail.outbox
    parsed = message_from_bytes(message.message().as_bytes(), policy=policy.default)
    assert parsed.get_content_type() == "multipart/alternative"
    kinds = [part.get_content_type() for part in parsed.iter_parts()]
    assert kinds == ["text/plain", "text/calendar"]
    assert (message.to, parsed["Reply-To"]) == ([kim.email], "plan@testfield.example")
    calendar, event = opened(message)
    assert str(event["organizer"]) == "mailto:plan@testfield.example"
    assert str(event["attendee"]) == f"mailto:{kim.email}"
    assert event["attendee"].params["RSVP"] == "TRUE"
    assert event["dtstart"].dt.astimezone(UTC) == datetime(2026, 8, 3, 21, tzinfo=UTC)
    assert event["dtend"].dt.astimezone(UTC) == datetime(2026, 8, 4, 5, 30, tzinfo=UTC)
    assert dict(event["rrule"]) == {"FREQ": ["DAILY"], "COUNT": [2]}
    days = ["Tue 4 Aug 2026, 07:00 to 15:30", "Wed 5 Aug 2026, 07:00 to 15:30"]
    assert [line for line in message.body.splitlines() if " to " in line] == days
    assert len(calendar.walk("VTIMEZONE")) == 1


def test_a_mail_across_a_weekend_leaves_it_free(invited, book):
    book(first=THURSDAY, last=date(2026, 8, 11))
    _, event = opened(mail.outbox[0])
    assert dict(event["rrule"])["COUNT"] == [6]
    free = [day.dt.astimezone(UTC).day for day in event["exdate"].dts]
    assert free == [7, 8]  # Saturday and Sunday morning here


def test_one_day_is_no_series_and_is_told_as_before(invited, book):
    book(last=TUESDAY)
    assert "rrule" not in opened(mail.outbox[0])[1]
    assert "spans" not in Invitation.objects.get().told


def test_what_was_told_across_the_nights_is_told_anew_once(invited, book):
    book()
    row = Invitation.objects.get()
    del row.told["spans"]  # as it was kept before days had times of their own
    row.save()
    assert len(spans_of(row)) == 1
    sent()
    book()
    book()
    assert sent() == [("REQUEST", 1, "CONFIRMED")]


def test_the_sequence_moves_only_when_the_booking_does(invited, book, now):
    book()
    first = opened(mail.outbox[0])[1]
    sent()
    book(at=now + timedelta(hours=1))
    assert sent() == []
    later = now + timedelta(hours=2)
    book(last=THURSDAY, at=later)
    second = opened(mail.outbox[0])[1]
    assert sent() == [("REQUEST", 1, "CONFIRMED")]
    assert str(second["uid"]) == str(first["uid"])
    assert first["last-modified"].dt == now
    assert second["last-modified"].dt == later


def test_who_is_taken_off_hears_that_it_is_off(invited, book, red):
    book()
    sent()
    book(crew=red)
    assert sent() == [("CANCEL", 1, "CANCELLED")]
    book()
    assert sent() == [("REQUEST", 2, "CONFIRMED")]
    book(crew=None)
    assert sent() == [("CANCEL", 3, "CANCELLED")]


def test_who_is_away_all_days_is_taken_off(
    invited, book, kim, oscar, now, after_commit
):
    book()
    sent()
    with after_commit():
        record_absence(
            person=kim,
            from_on=TUESDAY,
            to_on=WEDNESDAY,
            reason="Ill",
            actor=oscar,
            at=now,
        )
    assert sent() == [("CANCEL", 1, "CANCELLED")]


def test_turning_it_off_takes_out_what_lies_ahead(
    invited, book, kim, now, after_commit
):
    book()
    sent()
    with after_commit():
        set_wish(person=kim, wanted=False, at=now)
    assert sent() == [("CANCEL", 1, "CANCELLED")]
    with after_commit():
        set_wish(person=kim, wanted=True, at=now)
    assert sent() == [("REQUEST", 2, "CONFIRMED")]


def test_a_closed_job_is_off(invited, book, job, oscar, now, after_commit):
    book()
    sent()
    close_job(job=job, how=Job.Closed.CALLED_OFF, note="", actor=oscar, at=now)
    with after_commit():
        settle_invitations(at=now)
    assert sent() == [("CANCEL", 1, "CANCELLED")]


def test_past_bookings_are_left_alone(invited, book, kim, now, after_commit, clock):
    book()
    sent()
    later = now + timedelta(days=30)
    clock.move_to(later, tick=False)
    with after_commit():
        set_wish(person=kim, wanted=False, at=later)
        settle_invitations(at=later)
    assert sent() == []


def test_a_task_told_twice_mails_once(invited, book):
    book()
    row = Invitation.objects.get()
    assert not send_invitation(invitation_id=row.pk, sequence=0)
    Invitation.objects.update(mailed_sequence=-1)
    mail.outbox.clear()
    assert send_invitation(invitation_id=row.pk, sequence=0)
    assert not send_invitation(invitation_id=row.pk, sequence=0)
    assert sent() == [("REQUEST", 0, "CONFIRMED")]


def test_a_task_that_was_overtaken_mails_nothing(invited, book):
    book()
    book(last=THURSDAY)
    row = Invitation.objects.get()
    Invitation.objects.update(mailed_sequence=-1)
    mail.outbox.clear()
    assert not send_invitation(invitation_id=row.pk, sequence=0)
    assert send_invitation(invitation_id=row.pk, sequence=1)


def test_a_mail_that_failed_is_asked_for_again(invited, book, now, after_commit):
    book()
    mail.outbox.clear()
    Invitation.objects.update(mailed_sequence=-1)
    with after_commit():
        assert settle_invitations(at=now) == 0
    assert sent() == [("REQUEST", 0, "CONFIRMED")]


def test_nobody_hears_that_what_they_never_heard_of_is_off(
    invited, job, blue, oscar, now, after_commit
):
    publish({(job.pk, 1): (blue, slot(TUESDAY), slot(TUESDAY, "pm"))}, oscar, now)
    settle_invitations(at=now)
    with after_commit():
        publish({}, oscar, now)
    assert sent() == []
    assert Invitation.objects.get().mailed_sequence == 1


def test_who_has_no_email_cannot_ask(ned, now):
    with pytest.raises(Refused, match="give you an email"):
        set_wish(person=ned, wanted=True, at=now)


def test_the_wish_is_in_the_ledger(invited, kim, now):
    set_wish(person=kim, wanted=True, at=now)
    assert LedgerEntry.objects.filter(verb=Verb.INVITATIONS_ON).count() == 1


# --- Answers -----------------------------------------------------------------------


@pytest.fixture
def row(invited, book):
    """Kim's invitation, moved once."""
    book()
    book(last=THURSDAY)
    return Invitation.objects.get()


def answer(row, now, **more):
    values = {
        "uid": uid_of(row),
        "sequence": 1,
        "attendee": "Kim@TestField.example",
        "answer": "ACCEPTED",
        "stamp": now,
        **more,
    }
    return Reply(**values)


def test_an_answer_is_kept_for_the_office(row, now, client, oscar):
    record_reply(reply=answer(row, now), at=now)
    record_reply(reply=answer(row, now), at=now)
    row.refresh_from_db()
    assert row.answer == Invitation.Answer.ACCEPTED
    assert LedgerEntry.objects.filter(verb=Verb.INVITATION_ANSWERED).count() == 1
    client.force_login(oscar)
    said = client.get(f"/plan/bookings/{row.booking_id}/").text
    assert "Answers to invitations" in said
    assert "Accepted" in said


@pytest.mark.parametrize(
    ("wrong", "says"),
    [
        ({"uid": "visit-1@elsewhere"}, "Nobody was invited"),
        ({"uid": "0d5d8e3e-0000-4000-8000-000000000000@eavesline"}, "Nobody was"),
        ({"attendee": "sal@testfield.example"}, "was not invited"),
        ({"sequence": 0}, "before it changed"),
        ({"sequence": 7}, "no such state"),
        ({"answer": "DELEGATED"}, "not an answer"),
    ],
)
def test_what_nobody_asked_is_refused(row, now, wrong, says):
    with pytest.raises(Refused, match=says):
        record_reply(reply=answer(row, now, **wrong), at=now)
    row.refresh_from_db()
    assert row.answer == Invitation.Answer.NONE


def place(day, hour=7):
    return datetime(2026, 8, day, hour, tzinfo=ZoneInfo("Australia/Sydney"))


def test_one_day_of_several_can_be_declined(row, now, client, oscar):
    yes, no = answer(row, now), answer(row, now, place=place(5), answer="DECLINED")
    record_replies(replies=[yes, no], at=now)
    record_replies(replies=[yes, no], at=now)
    ((said),) = answers_of(row.booking)
    assert said.invitation.answer == Invitation.Answer.ACCEPTED
    assert said.days == ((WEDNESDAY, "Declined"),)
    assert LedgerEntry.objects.filter(verb=Verb.INVITATION_ANSWERED).count() == 2
    client.force_login(oscar)
    shown = client.get(f"/plan/bookings/{row.booking_id}/").text
    assert "Wed 5 Aug 2026: Declined" in shown


def test_a_day_is_known_by_its_moment_in_any_zone(row, now):
    in_utc = place(5).astimezone(UTC)
    record_reply(reply=answer(row, now, place=in_utc, answer="TENTATIVE"), at=now)
    record_reply(reply=answer(row, now, place=THURSDAY, answer="DECLINED"), at=now)
    row.refresh_from_db()
    assert sorted(row.day_answers) == ["2026-08-05", "2026-08-06"]


def test_a_later_answer_of_all_days_stands_for_each(row, now):
    no = answer(row, now, place=place(5), answer="DECLINED")
    late = answer(row, now + timedelta(hours=1))
    record_reply(reply=no, at=now)
    record_reply(reply=late, at=now)
    with pytest.raises(Refused, match="later answer"):
        record_reply(reply=no, at=now)
    row.refresh_from_db()
    assert (row.answer, row.day_answers) == (Invitation.Answer.ACCEPTED, {})


def test_a_day_that_is_not_in_the_invitation_is_refused_with_the_rest(row, now):
    other = answer(row, now, place=place(9))
    with pytest.raises(Refused, match="Sun 9 Aug 2026 is not a day"):
        record_replies(replies=[answer(row, now), other], at=now)
    row.refresh_from_db()
    assert row.answer == Invitation.Answer.NONE


def test_a_change_forgets_answers_of_days_too(row, now, book):
    record_reply(reply=answer(row, now, place=place(5), answer="DECLINED"), at=now)
    book()
    row.refresh_from_db()
    assert row.day_answers == {}


def test_a_later_answer_wins_whatever_comes_first(row, now):
    late = answer(row, now + timedelta(hours=1), answer="DECLINED")
    record_reply(reply=late, at=now)
    with pytest.raises(Refused, match="later answer"):
        record_reply(reply=answer(row, now), at=now)
    row.refresh_from_db()
    assert row.answer == Invitation.Answer.DECLINED


def test_a_change_asks_anew(row, now, book):
    record_reply(reply=answer(row, now), at=now)
    book()
    row.refresh_from_db()
    assert (row.sequence, row.answer) == (2, Invitation.Answer.NONE)


REPLY = """BEGIN:VCALENDAR\r
PRODID:-//Somebody else//EN\r
VERSION:2.0\r
METHOD:REPLY\r
BEGIN:VEVENT\r
UID:{uid}\r
DTSTAMP:20260803T010203Z\r
SEQUENCE:{sequence}\r
ORGANIZER:mailto:eavesline@localhost\r
ATTENDEE;PARTSTAT={answer}:mailto:kim@testfield.example\r
END:VEVENT\r
END:VCALENDAR\r
"""

TWO_IN_ONE = REPLY.replace(
    "END:VCALENDAR\r\n",
    REPLY[REPLY.index("BEGIN:VEVENT") :].replace(
        "ATTENDEE;PARTSTAT={answer}",
        "RECURRENCE-ID:20260804T210000Z\r\nATTENDEE;PARTSTAT=ACCEPTED",
    ),
)

MAIL = """From: Kim <kim@testfield.example>
To: eavesline@localhost
Subject: Accepted
MIME-Version: 1.0
Content-Type: multipart/alternative; boundary=here

--here
Content-Type: text/plain

Yes.
--here
Content-Type: text/calendar; method=REPLY; charset=utf-8

{calendar}
--here--
"""


def read(*paths):
    """What the command says, and what it complains of."""
    out, err = StringIO(), StringIO()
    call_command("read_replies", *map(str, paths), stdout=out, stderr=err)
    return out.getvalue(), err.getvalue()


def test_answers_are_read_from_a_folder(row, tmp_path):
    said = REPLY.format(uid=uid_of(row), sequence=1, answer="DECLINED")
    (tmp_path / "1.eml").write_text(MAIL.format(calendar=said))
    (tmp_path / "2.ics").write_text(
        REPLY.format(uid="x", sequence=1, answer="ACCEPTED")
    )
    (tmp_path / "3.eml").write_text("Subject: Hello\n\nNo calendar here.")
    (tmp_path / "notes.txt").write_text("not looked at")
    out, err = read(tmp_path)
    assert "1.eml: Kim Crew, declined." in out
    assert "1 taken in, 2 refused." in out
    assert "Nobody was invited under this UID." in err
    assert "There is no calendar in it." in err
    row.refresh_from_db()
    assert row.answer == Invitation.Answer.DECLINED


def test_a_mail_may_answer_all_days_and_one_otherwise(row, tmp_path):
    said = TWO_IN_ONE.format(uid=uid_of(row), sequence=1, answer="DECLINED")
    (tmp_path / "1.eml").write_text(MAIL.format(calendar=said))
    out, _ = read(tmp_path)
    assert "1.eml: Kim Crew, declined, accepted." in out
    row.refresh_from_db()
    assert row.answer == Invitation.Answer.DECLINED
    assert row.day_answers["2026-08-05"]["answer"] == "accepted"


@pytest.mark.parametrize(
    "text",
    [
        TWO_IN_ONE.replace("UID:{uid}", "UID:{uid}x", 1),
        REPLY.replace("SEQUENCE:", "RECURRENCE-ID:some day\r\nSEQUENCE:"),
        "BEGIN:VCALENDAR\r\nNONSENSE",
        "BEGIN:VCALENDAR\r\nVERSION:2.0\r\nEND:VCALENDAR\r\n",
        REPLY.replace("METHOD:REPLY", "METHOD:REQUEST"),
        REPLY.replace("DTSTAMP:20260803T010203Z\r\n", ""),
        REPLY.replace("DTSTAMP:20260803T010203Z", "DTSTAMP:soon"),
        REPLY.replace("SEQUENCE:{sequence}", "SEQUENCE:soon"),
        REPLY.replace(
            "END:VEVENT\r\n", "ATTENDEE:mailto:b@c.example\r\nEND:VEVENT\r\n"
        ),
        "x" * 1_000_001,
    ],
)
def test_nonsense_is_refused_and_does_no_harm(row, tmp_path, text):
    text = text.replace("{uid}", uid_of(row)).replace("{sequence}", "1")
    (tmp_path / "a.ics").write_text(text.replace("{answer}", "ACCEPTED"))
    out, err = read(tmp_path / "a.ics")
    assert "0 taken in, 1 refused." in out
    assert "a.ics: refused." in err


def test_a_folder_that_is_not_there_is_an_error(tmp_path):
    with pytest.raises(CommandError, match="no file or folder"):
        read(tmp_path / "gone")


def test_the_switch_is_on_one_s_own_page(client, kim, now):
    client.force_login(kim)
    assert "Turn it on" in client.get("/me/").text
    said = client.post("/me/invitations/", {"wanted": "yes"}, follow=True).text
    assert "Turn it off" in said
    client.post("/me/invitations/", {"wanted": ""})
    assert "Turn it on" in client.get("/me/").text
