"""Loaded events to iCalendar bytes (RFC 5545, RFC 7986). The only door to icalendar."""

from datetime import UTC, date, datetime, timedelta
from zoneinfo import ZoneInfo

from icalendar import Alarm, Calendar, Event, Timezone
from icalendar.prop import vDuration

from scheduling.queries.feed_events import Feed, FeedEvent

PRODUCT = "-//Eavesline//Plan of crews//EN"
REFRESH = timedelta(hours=1)
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
    calendar.add_component(_zone(feed))
    for event in feed.events:
        calendar.add_component(_event(event, ZoneInfo(feed.zone)))
    made: bytes = calendar.to_ical()
    return made


def _zone(feed: Feed) -> Timezone:
    """The zone's rules over the years the calendar can touch."""
    first = date(feed.first.year - 1, 1, 1)
    last = date(feed.first.year + RULES_AHEAD_YEARS, 12, 31)
    return Timezone.from_tzid(feed.zone, first_date=first, last_date=last)


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
