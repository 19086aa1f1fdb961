"""When a thing on site happened: what a phone says, held against the server's clock."""

from datetime import datetime, timedelta

from jobs.domain.refusals import Refused

OLDEST = timedelta(days=31)  # a phone that was offline longer has the wrong time
AT_ONCE = timedelta(minutes=1)  # sending takes as long by itself; less is no delay


def happened_at(device_at: datetime | None, at: datetime) -> datetime:
    """The phone's time, never later than the server's. Refused when it cannot be right."""
    if device_at is None or device_at >= at:
        return at
    if at - device_at > OLDEST:
        raise Refused("The time on this phone is far off. Set its clock and try again.")
    return device_at


def first_sent_at(
    pressed: datetime | None, sent: datetime | None, at: datetime
) -> datetime | None:
    """When a form was first sent, by the server's clock. None: just now.

    ``pressed`` and ``sent`` are read off the phone's clock, when the button was first
    pressed and when what arrived went out. Only how far they lie apart counts, so that
    a phone whose clock is wrong moves no record to another hour.
    """
    if pressed is None or sent is None or sent - pressed < AT_ONCE:
        return None
    return at - (sent - pressed)
