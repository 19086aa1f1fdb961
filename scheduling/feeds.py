"""Loaded events to iCalendar bytes (RFC 5545, RFC 7986), invitations and their answers
(RFC 5546). The only door to icalendar.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import UTC, date, datetime, timedelta
from zoneinfo import ZoneInfo

from icalendar import Alarm, Calendar, Event, Timezone
from icalendar.error import BrokenCalendarProperty
from icalendar.prop import vCalAddress, vDuration

from jobs.domain.refusals import Refused
from scheduling.domain.series import Span, series
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
    """A REQUEST, or a CANCEL of it (RFC 5546, sections 3.2.2 and 3.2.5).

    All components of one message have one UID: a visit of several days is a series.
    """
    calendar = Calendar()
    calendar.add("prodid", PRODUCT)
    calendar.add("version", "2.0")
    calendar.add("calscale", "GREGORIAN")
    calendar.add("method", "CANCEL" if message.withdrawn else "REQUEST")
    calendar.add_component(_zone(message.zone, message.spans[0].day))
    for event in _invited(message):
        calendar.add_component(event)
    made: bytes = calendar.to_ical()
    return made


def _invited(message: Message) -> Iterator[Event]:
    zone, days = ZoneInfo(message.zone), series(message.spans)
    row = _asked(message, days.first)
    if days.count > 1:
        row.add("rrule", {"freq": "daily", "count": days.count})
    if days.left_out:
        row.add("exdate", [day.replace(tzinfo=zone) for day in days.left_out])
    yield row
    if message.withdrawn:  # without RECURRENCE-ID all of it is off
        return
    for place, span in days.moved if days.count > 1 else ():
        moved = _asked(message, span)
        moved.add("recurrence-id", place.replace(tzinfo=zone))
        yield moved


def _asked(message: Message, span: Span) -> Event:
    zone, row = ZoneInfo(message.zone), Event()
    row.add("uid", message.uid)
    row.add("dtstamp", _utc(message.changed_at))
    row.add("last-modified", _utc(message.changed_at))
    row.add("sequence", message.sequence)
    row.add("dtstart", span.starts.replace(tzinfo=zone))
    row.add("dtend", span.ends.replace(tzinfo=zone))
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
    """One answer: who, to what state of which invitation, and what.

    ``place`` is the RECURRENCE-ID when it is about one day of several: when that day's
    work would begin at the usual hours.
    """

    uid: str
    sequence: int
    attendee: str
    answer: str  # PARTSTAT, in capitals
    stamp: datetime
    place: date | datetime | None = None


def replies_in(raw: bytes) -> tuple[Reply, ...]:
    """The answers in an iTIP REPLY (RFC 5546, section 3.2.3), that to all days first.

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
    replies = sorted(map(_reply, events), key=lambda reply: reply.place is not None)
    if len({reply.uid for reply in replies}) != 1:
        raise Refused("An answer is about one invitation.")
    return tuple(replies)


def _reply(event: Event) -> Reply:
    who, stamp = event.get("attendee"), event.get("dtstamp")
    if isinstance(who, list) or who is None or "uid" not in event:
        raise Refused("An answer names its UID and the one person it is from.")
    moment = _when(stamp)
    if not isinstance(moment, datetime) or moment.tzinfo is None:
        raise Refused("An answer says when it was made (DTSTAMP in UTC).")
    sequence, place = event.get("sequence", 0), _when(event.get("recurrence-id"))
    if "recurrence-id" in event and place is None:
        raise Refused("Its day (RECURRENCE-ID) cannot be read.")
    return Reply(
        uid=str(event["uid"]),
        sequence=sequence if isinstance(sequence, int) else NO_SEQUENCE,
        attendee=_bare_address(str(who)),
        answer=str(who.params.get("PARTSTAT", "NEEDS-ACTION")).upper(),
        stamp=moment,
        place=place,
    )


def _when(value: object) -> date | datetime | None:
    """The day or moment of a property; None where there is none that can be read."""
    try:
        found = getattr(value, "dt", None)
    except BrokenCalendarProperty:
        return None
    return found if isinstance(found, date) else None


def _bare_address(address: str) -> str:
    scheme, colon, rest = address.partition(":")
    return rest if colon and scheme.lower() == "mailto" else address
