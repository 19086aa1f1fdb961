"""Content lines of calendars against RFC 5545.

Section 3.1, read: https://icalendar.org/iCalendar-RFC-5545/3-1-content-lines.html
Sections 3.3.11 and 3.8.7.2 are remembered, not read.
"""

import re
from datetime import UTC, date, datetime

import pytest

from scheduling.feeds import calendar_bytes
from scheduling.queries.feed_events import Feed, FeedEvent

# Two to four octets a character, so that a fold by characters would be too long.
LONG = "Straße über die Brücke – 屋根 🏠; Tür, Tor \\ Hof\nzweite Zeile " * 4


def bytes_of(**changes):
    values = {
        "uid": "a-1@eavesline",
        "sequence": 2,
        "changed_at": datetime(2026, 8, 3, 1, 2, 3, tzinfo=UTC),
        "starts": datetime(2026, 8, 4, 7),
        "ends": datetime(2026, 8, 4, 15, 30),
        "summary": "Patio",
        "description": LONG,
        "location": "1 Short Street, Testfield",
        "status": "CONFIRMED",
    }
    event = FeedEvent(**{**values, **changes})
    return calendar_bytes(Feed("Blue", "Australia/Sydney", date(2026, 6, 4), (event,)))


def unfolded(raw):
    """Section 3.1: a line break and one space or tab after it are taken out."""
    return re.sub(rb"\r\n[ \t]", b"", raw)


def plain(text):
    """Section 3.3.11: what the escapes of a TEXT stand for."""
    table = {b"\\n": b"\n", b"\\N": b"\n", b"\\,": b",", b"\\;": b";", b"\\\\": b"\\"}
    return re.sub(rb"\\.", lambda found: table[found.group()], text).decode()


def value(raw, name):
    found = re.search(rb"^" + name + rb":(.*)\r$", unfolded(raw), re.MULTILINE)
    assert found is not None
    return found.group(1)


def test_the_published_fold_unfolds():
    """The RFC's own example."""
    folded = (
        b"DESCRIPTION:This is a lo\r\n ng description\r\n  that exists on a long line."
    )
    whole = b"DESCRIPTION:This is a long description that exists on a long line."
    assert unfolded(folded) == whole


def test_no_line_is_longer_than_75_octets():
    lines = bytes_of().split(b"\r\n")
    assert max(len(line) for line in lines) <= 75
    assert any(line.startswith(b" ") for line in lines)


def test_every_line_ends_in_crlf():
    raw = bytes_of()
    assert raw.endswith(b"END:VCALENDAR\r\n")
    assert raw.count(b"\n") == raw.count(b"\r\n")


def test_no_character_is_split_between_lines():
    for line in bytes_of().split(b"\r\n"):
        line.decode("utf-8", errors="strict")


def test_a_long_text_comes_back_whole():
    assert plain(value(bytes_of(), b"DESCRIPTION")) == LONG


@pytest.mark.parametrize("text", ["a\\b", "a;b", "a,b", "a\nb", "a:b"])
def test_text_is_escaped(text):
    raw = value(bytes_of(summary=text), b"SUMMARY")
    assert plain(raw) == text
    assert b"\\:" not in raw  # a colon is not escaped


def test_times_of_change_are_utc():
    """DTSTAMP must be in UTC (3.8.7.2)."""
    assert value(bytes_of(), b"DTSTAMP") == b"20260803T010203Z"


def test_what_a_calendar_and_an_event_must_have():
    """PRODID and VERSION 2.0; UID, DTSTAMP and DTSTART (3.6, 3.6.1)."""
    raw = bytes_of()
    assert value(raw, b"VERSION") == b"2.0"
    assert value(raw, b"PRODID")
    assert value(raw, b"UID") == b"a-1@eavesline"
    assert b"\r\nDTSTART;TZID=Australia/Sydney:20260804T070000\r\n" in raw
    assert b"DURATION:" not in raw.split(b"BEGIN:VEVENT")[1]  # never beside DTEND


def test_the_same_events_give_the_same_bytes():
    assert bytes_of() == bytes_of()


def test_how_often_to_look_again():
    """REFRESH-INTERVAL;VALUE=DURATION and NAME, RFC 7986 (remembered)."""
    raw = bytes_of()
    assert b"\r\nREFRESH-INTERVAL;VALUE=DURATION:PT1H\r\n" in raw
    assert value(raw, b"NAME") == b"Blue"
