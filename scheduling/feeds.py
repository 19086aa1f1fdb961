"""Loaded events to iCalendar bytes (RFC 5545, RFC 7986), invitations and their answers
(RFC 5546). The only door to icalendar.
"""

from dataclasses import dataclass
from datetime import UTC, date, datetime, timedelta
from zoneinfo import ZoneInfo

from icalendar import Alarm, Calendar, Event, Timezone
from icalendar.prop import vCalAddress, vDuration

from jobs.domain.refusals import Refused
from scheduling.queries.feed_events import Feed, FeedEvent
from scheduling.queries.invitations import Message

PRODUCT = "-//Eavesline//Plan of crews//EN"
REFRESH = timedelta(hours=1)
NO_SEQUENCE = -1  # older than any: a SEQUENCE that is no number
RULES_AHEAD_YEARS = 3  # how far the time zone's changes of the clock are written out


def calendar_bytes(feed: Feed) -> bytes:
    """The calendar as a program fetches it. The same events give the same bytes."""
    calendar = Calendar()
    calendar.add("prodid", PRODUCT)
    calendar.add("version", "2.0")
    calendar.add("calscale", "GREGORIAN")
    calendar.add("name", feed.name)
    calendar.add("x-wr-calname", feed.name)
    calendar.add("x-wr-timezone", feed.zone)
    refresh = {"VALUE": "DURATION"}
    calendar.add("refresh-interval", vDuration(REFRESH), parameters=refresh)
    calendar.add("x-published-ttl", vDuration(REFRESH))
    calendar.add_component(_zone(feed.zone, feed.first))
    for event in feed.events:
        calendar.add_component(_event(event, ZoneInfo(feed.zone)))
    made: bytes = calendar.to_ical()
    return made


def _zone(zone: str, since: date) -> Timezone:
    """The zone's rules over the years the calendar can touch."""
    first = date(since.year - 1, 1, 1)
    last = date(since.year + RULES_AHEAD_YEARS, 12, 31)
    return Timezone.from_tzid(zone, first_date=first, last_date=last)


def _event(event: FeedEvent, zone: ZoneInfo) -> Event:
    row = Event()
    row.add("uid", event.uid)
    # Without METHOD this is when the event was last changed (RFC 5545 3.8.7.2).
    row.add("dtstamp", _utc(event.changed_at))
    row.add("last-modified", _utc(event.changed_at))
    row.add("sequence", event.sequence)
    row.add("dtstart", event.starts.replace(tzinfo=zone))
    row.add("dtend", event.ends.replace(tzinfo=zone))
    row.add("summary", event.summary)
    row.add("description", event.description)
    row.add("location", event.location)
    row.add("status", event.status)
    row.add("transp", "OPAQUE" if event.busy else "TRANSPARENT")
    if event.reminder is not None:
        row.add_component(_alarm(event, event.reminder))
    return row


def _alarm(event: FeedEvent, before: timedelta) -> Alarm:
    alarm = Alarm()
    alarm.add("action", "DISPLAY")
    alarm.add("trigger", -before)
    alarm.add("description", event.summary)
    return alarm


def _utc(moment: datetime) -> datetime:
    return moment.astimezone(UTC).replace(microsecond=0)


def invitation_bytes(message: Message) -> bytes:
    """A REQUEST, or a CANCEL of it (RFC 5546, sections 3.2.2 and 3.2.5)."""
    calendar = Calendar()
    calendar.add("prodid", PRODUCT)
    calendar.add("version", "2.0")
    calendar.add("calscale", "GREGORIAN")
    calendar.add("method", "CANCEL" if message.withdrawn else "REQUEST")
    calendar.add_component(_zone(message.zone, message.starts.date()))
    calendar.add_component(_invited(message))
    made: bytes = calendar.to_ical()
    return made


def _invited(message: Message) -> Event:
    zone, row = ZoneInfo(message.zone), Event()
    row.add("uid", message.uid)
    row.add("dtstamp", _utc(message.changed_at))
    row.add("last-modified", _utc(message.changed_at))
    row.add("sequence", message.sequence)
    row.add("dtstart", message.starts.replace(tzinfo=zone))
    row.add("dtend", message.ends.replace(tzinfo=zone))
    row.add("summary", message.summary)
    row.add("description", message.description)
    row.add("location", message.location)
    row.add("status", "CANCELLED" if message.withdrawn else "CONFIRMED")
    row.add("transp", "TRANSPARENT" if message.withdrawn else "OPAQUE")
    row.add("organizer", _address(message.organizer, message.organizer_name))
    asked = {} if message.withdrawn else {"PARTSTAT": "NEEDS-ACTION", "RSVP": "TRUE"}
    who = _address(message.attendee, message.attendee_name)
    row.add("attendee", who, parameters={"ROLE": "REQ-PARTICIPANT", **asked})
    return row


def _address(email: str, name: str) -> vCalAddress:
    address = vCalAddress(f"mailto:{email}")
    address.params["CN"] = name
    return address


@dataclass(frozen=True, slots=True)
class Reply:
    """One answer: who, to what state of which invitation, and what."""

    uid: str
    sequence: int
    attendee: str
    answer: str  # PARTSTAT, in capitals
    stamp: datetime


def reply_in(raw: bytes) -> Reply:
    """The answer in an iTIP REPLY (RFC 5546, section 3.2.3).

    Raises Refused when it is none, or one that nobody could take in.
    """
    try:
        calendar = Calendar.from_ical(raw)
    except (ValueError, IndexError) as error:
        raise Refused("This is not a calendar file.") from error
    if not isinstance(calendar, Calendar):
        raise Refused("This is not one calendar.")
    if str(calendar.get("method", "")).upper() != "REPLY":
        raise Refused("This is not an answer to an invitation (METHOD:REPLY).")
    events = [one for one in calendar.walk("VEVENT") if isinstance(one, Event)]
    if len(events) != 1:
        raise Refused("An answer is about one event.")
    return _reply(events[0])


def _reply(event: Event) -> Reply:
    who, stamp = event.get("attendee"), event.get("dtstamp")
    if isinstance(who, list) or who is None or "uid" not in event:
        raise Refused("An answer names its UID and the one person it is from.")
    moment = getattr(stamp, "dt", None)
    if not isinstance(moment, datetime) or moment.tzinfo is None:
        raise Refused("An answer says when it was made (DTSTAMP in UTC).")
    sequence = event.get("sequence", 0)
    return Reply(
        uid=str(event["uid"]),
        sequence=sequence if isinstance(sequence, int) else NO_SEQUENCE,
        attendee=_bare_address(str(who)),
        answer=str(who.params.get("PARTSTAT", "NEEDS-ACTION")).upper(),
        stamp=moment,
    )


def _bare_address(address: str) -> str:
    scheme, colon, rest = address.partition(":")
    return rest if colon and scheme.lower() == "mailto" else address
