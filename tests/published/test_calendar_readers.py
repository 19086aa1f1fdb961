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


@pytest.mark.parametrize("withdrawn", [False, True])
def test_foreign_readers_find_an_invitation_across_the_change_of_clocks(withdrawn):
    """RFC 5546, sections 3.2.2 and 3.2.5: METHOD, UID, SEQUENCE, ORGANIZER, ATTENDEE."""
    starts, _, ends, *_ = INSTANTS.items()
    message = Message(
        uid="kim-and-a-visit@eavesline",
        sequence=3,
        changed_at=datetime(2026, 3, 2, tzinfo=UTC),
        starts=starts[0],
        ends=ends[0],
        zone="Australia/Sydney",
        summary="Patio, Straße 1",
        description="With Blue.\nSat 4 Apr 2026",
        location="1 Short Street; Testfield",
        organizer="plan@testfield.example",
        organizer_name="Testfield: Patios",
        attendee="kim@testfield.example",
        attendee_name="Kim Crew",
        withdrawn=withdrawn,
    )
    text = invitation_bytes(message).decode()
    read = vobject.readOne(text)
    assert read.method.value == ("CANCEL" if withdrawn else "REQUEST")
    event = read.vevent
    assert event.dtstart.value.astimezone(UTC) == starts[1]
    assert event.dtend.value.astimezone(UTC) == ends[1]
    assert (event.uid.value, event.sequence.value) == (message.uid, "3")
    assert event.organizer.value == "mailto:plan@testfield.example"
    (other,) = ics.Calendar(text).events
    assert (other.begin.datetime, other.end.datetime) == (starts[1], ends[1])
    assert {who.email for who in other.attendees} == {"kim@testfield.example"}
    assert other.status == ("CANCELLED" if withdrawn else "CONFIRMED")


@pytest.mark.skipif(shutil.which("khal") is None, reason="khal is not installed")
def test_a_calendar_program_shows_the_same_times(raw, tmp_path):
    file, config = tmp_path / "blue.ics", tmp_path / "config"
    file.write_bytes(raw)
    config.write_text(
        f"[calendars]\n[[blue]]\npath = {tmp_path}/store\n[locale]\n"
        "local_timezone = UTC\ndefault_timezone = UTC\nlongdatetimeformat = %Y-%m-%d %H:%M\n"
        "datetimeformat = %Y-%m-%d %H:%M\ntimeformat = %H:%M\n"
        "dateformat = %Y-%m-%d\nlongdateformat = %Y-%m-%d\n"
    )
    (tmp_path / "store").mkdir()
    shown = subprocess.run(
        ["khal", "-c", config, "printics", "-f", "{start-long} {title}", file],
        capture_output=True,
        text=True,
        check=True,
        env={"HOME": str(tmp_path), "PATH": "/usr/bin:/bin", "LANG": "C.UTF-8"},
    )
    lines = [line.strip() for line in shown.stdout.splitlines() if "Patio" in line]
    assert lines == [
        f"{instant:%Y-%m-%d %H:%M} Patio, Straße {n}"
        for n, instant in enumerate(INSTANTS.values())
    ]
