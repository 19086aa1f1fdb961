"""A calendar as a file."""

from datetime import datetime

from jobs.queries import the_firm
from scheduling.feeds import calendar_bytes
from scheduling.queries.feed_days import Subject
from scheduling.queries.feed_events import feed_of


def feed_bytes(*, subject: Subject, at: datetime) -> bytes:
    """The calendar of a crew, a person, a job, or (None) the firm, as it is at ``at``."""
    return calendar_bytes(feed_of(subject, the_firm(), at))
