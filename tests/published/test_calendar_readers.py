"""Calendars read back by programs that are not ours, across a change of the clocks.

New South Wales, 2026: daylight time ends on Sunday 5 April and starts on Sunday 4 October
(first Sundays; remembered, days of the week computed). On the first the clock is 11 hours
ahead of UTC before 3 am and 10 after, on the second the other way round.
"""

import shutil
import subprocess
from datetime import UTC, date, datetime, timedelta

import icalendar
import ics
import pytest
import recurring_ical_events
import vobject

from scheduling.domain.series import Span
from scheduling.feeds import calendar_bytes, invitation_bytes
from scheduling.queries.feed_events import Feed, FeedEvent
from scheduling.queries.invitations import Message

# Local start of an event and the same instant in UTC, worked out by hand.
INSTANTS = {
    datetime(2026, 4, 4, 7, 0): datetime(2026, 4, 3, 20, 0, tzinfo=UTC),
    datetime(2026, 4, 5, 1, 30): datetime(2026, 4, 4, 14, 30, tzinfo=UTC),
    datetime(2026, 4, 5, 7, 0): datetime(2026, 4, 4, 21, 0, tzinfo=UTC),
    datetime(2026, 10, 3, 7, 0): datetime(2026, 10, 2, 21, 0, tzinfo=UTC),
    datetime(2026, 10, 4, 1, 30): datetime(2026, 10, 3, 15, 30, tzinfo=UTC),
    datetime(2026, 10, 4, 7, 0): datetime(2026, 10, 3, 20, 0, tzinfo=UTC),
}


@pytest.fixture(scope="module")
def raw():
    events = tuple(
        FeedEvent(
            uid=f"visit-{n}@eavesline",
            sequence=n,
            changed_at=datetime(2026, 3, 2, tzinfo=UTC),
            starts=starts,
            ends=starts + timedelta(minutes=30),
            summary=f"Patio, Straße {n}",
            description="Tasks: Set out; Stand posts.\nHOLD: a certificate, not back.",
            location="1 Short Street, Testfield",
            status=("CONFIRMED", "TENTATIVE", "CANCELLED")[n % 3],
            reminder=timedelta(hours=13),
        )
        for n, starts in enumerate(INSTANTS)
    )
    return calendar_bytes(Feed("Blue", "Australia/Sydney", date(2026, 3, 1), events))


def test_vobject_finds_the_same_instants(raw):
    read = vobject.readOne(raw.decode())
    starts = [event.dtstart.value.astimezone(UTC) for event in read.vevent_list]
    assert starts == list(INSTANTS.values())
    first = read.vevent_list[0]
    assert first.summary.value == "Patio, Straße 0"
    assert first.description.value.endswith("\nHOLD: a certificate, not back.")
    assert [e.sequence.value for e in read.vevent_list] == list("012345")
    assert [e.status.value for e in read.vevent_list][:3] == [
        "CONFIRMED",
        "TENTATIVE",
        "CANCELLED",
    ]


def test_ics_finds_the_same_instants(raw):
    read = ics.Calendar(raw.decode())
    found = {event.uid: event for event in read.events}
    starts = [
        found[f"visit-{n}@eavesline"].begin.datetime.astimezone(UTC) for n in range(6)
    ]
    assert starts == list(INSTANTS.values())
    assert found["visit-0@eavesline"].location == "1 Short Street, Testfield"
    assert found["visit-0@eavesline"].alarms[0].trigger == timedelta(hours=-13)


def test_an_expander_finds_each_event_on_its_own_day(raw):
    query = recurring_ical_events.of(icalendar.Calendar.from_ical(raw))
    for local, instant in INSTANTS.items():
        near = query.between(instant, instant + timedelta(minutes=1))
        assert [e.start.replace(tzinfo=None) for e in near] == [local]


# A visit across the weekend on which daylight time ends: Friday afternoon, Monday and
# Tuesday whole, Wednesday morning; starts and ends in UTC worked out by hand.
VISIT = {
    (datetime(2026, 4, 3, 11, 30), datetime(2026, 4, 3, 15, 30)): (
        datetime(2026, 4, 3, 0, 30, tzinfo=UTC),
        datetime(2026, 4, 3, 4, 30, tzinfo=UTC),
    ),
    (datetime(2026, 4, 6, 7, 0), datetime(2026, 4, 6, 15, 30)): (
        datetime(2026, 4, 5, 21, 0, tzinfo=UTC),
        datetime(2026, 4, 6, 5, 30, tzinfo=UTC),
    ),
    (datetime(2026, 4, 7, 7, 0), datetime(2026, 4, 7, 15, 30)): (
        datetime(2026, 4, 6, 21, 0, tzinfo=UTC),
        datetime(2026, 4, 7, 5, 30, tzinfo=UTC),
    ),
    (datetime(2026, 4, 8, 7, 0), datetime(2026, 4, 8, 11, 0)): (
        datetime(2026, 4, 7, 21, 0, tzinfo=UTC),
        datetime(2026, 4, 8, 1, 0, tzinfo=UTC),
    ),
}
UID = "kim-and-a-visit@eavesline"


def invitation(*, withdrawn=False, days=VISIT):
    message = Message(
        uid=UID,
        sequence=3,
        changed_at=datetime(2026, 3, 2, tzinfo=UTC),
        spans=tuple(Span(*pair) for pair in days),
        zone="Australia/Sydney",
        summary="Patio, Straße 1",
        description="With Blue.\nFri 3 Apr 2026, afternoon",
        location="1 Short Street; Testfield",
        organizer="plan@testfield.example",
        organizer_name="Testfield: Patios",
        attendee="kim@testfield.example",
        attendee_name="Kim Crew",
        withdrawn=withdrawn,
    )
    return invitation_bytes(message)


def test_an_expander_finds_the_days_of_an_invitation_and_the_nights_free():
    query = recurring_ical_events.of(icalendar.Calendar.from_ical(invitation()))
    found = query.between(date(2026, 3, 1), date(2026, 5, 1))
    assert [(e.start.astimezone(UTC), e.end.astimezone(UTC)) for e in found] == list(
        VISIT.values()
    )


@pytest.mark.parametrize("withdrawn", [False, True])
def test_vobject_finds_what_an_invitation_must_have(withdrawn):
    """RFC 5546, sections 3.2.2 and 3.2.5: METHOD, one UID, SEQUENCE, ORGANIZER."""
    read = vobject.readOne(invitation(withdrawn=withdrawn).decode())
    assert read.method.value == ("CANCEL" if withdrawn else "REQUEST")
    events = read.vevent_list
    assert {(e.uid.value, e.sequence.value) for e in events} == {(UID, "3")}
    assert {e.organizer.value for e in events} == {"mailto:plan@testfield.example"}
    # The series, and the two days with other hours; all of it is called off at once.
    assert len(events) == (1 if withdrawn else 3)
    days = [at.date() for at in events[0].getrruleset(addRDate=True)]
    assert days == [starts.date() for starts, _ in VISIT]
    moved = [e.recurrence_id.value.astimezone(UTC).date() for e in events[1:]]
    assert moved == ([] if withdrawn else [date(2026, 4, 2), date(2026, 4, 7)])


@pytest.mark.parametrize("withdrawn", [False, True])
def test_ics_finds_an_invitation_to_one_day(withdrawn):
    ((local, instants), *_) = VISIT.items()
    raw = invitation(withdrawn=withdrawn, days=[local])
    assert b"RRULE" not in raw.split(b"BEGIN:VEVENT")[1]
    (other,) = ics.Calendar(raw.decode()).events
    assert (other.begin.datetime, other.end.datetime) == instants
    assert {who.email for who in other.attendees} == {"kim@testfield.example"}
    assert other.status == ("CANCELLED" if withdrawn else "CONFIRMED")


def khal(tmp_path, *asked):
    """What khal says, in UTC, with one calendar that is kept in a folder."""
    config = tmp_path / "config"
    config.write_text(
        f"[calendars]\n[[blue]]\npath = {tmp_path}/store\n[locale]\n"
        "local_timezone = UTC\ndefault_timezone = UTC\nlongdatetimeformat = %Y-%m-%d %H:%M\n"
        "datetimeformat = %Y-%m-%d %H:%M\ntimeformat = %H:%M\n"
        "dateformat = %Y-%m-%d\nlongdateformat = %Y-%m-%d\n"
    )
    (tmp_path / "store").mkdir(exist_ok=True)
    ran = subprocess.run(
        ["khal", "-c", config, *asked],
        capture_output=True,
        text=True,
        check=True,
        env={"HOME": str(tmp_path), "PATH": "/usr/bin:/bin", "LANG": "C.UTF-8"},
    )
    return [line.strip() for line in ran.stdout.splitlines() if "Patio" in line]


needs_khal = pytest.mark.skipif(
    shutil.which("khal") is None, reason="khal is not installed"
)


@needs_khal
def test_a_calendar_program_takes_an_invitation_in_and_shows_each_day(tmp_path):
    file = tmp_path / "invitation.ics"
    file.write_bytes(invitation())
    khal(tmp_path, "import", "--batch", "-a", "blue", file)
    shape = "{start-long} {end-long} {title}"
    shown = khal(tmp_path, "list", "-df", "", "-f", shape, "2026-03-01", "60d")
    # A working day lies on two days of UTC, and is listed under both.
    assert list(dict.fromkeys(shown)) == [
        f"{starts:%Y-%m-%d %H:%M} {ends:%Y-%m-%d %H:%M} Patio, Straße 1"
        for starts, ends in VISIT.values()
    ]


@needs_khal
def test_a_calendar_program_shows_the_same_times(raw, tmp_path):
    file = tmp_path / "blue.ics"
    file.write_bytes(raw)
    lines = khal(tmp_path, "printics", "-f", "{start-long} {title}", file)
    assert lines == [
        f"{instant:%Y-%m-%d %H:%M} Patio, Straße {n}"
        for n, instant in enumerate(INSTANTS.values())
    ]
