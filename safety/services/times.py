"""When a thing on site happened: the phone's time, held against the server's."""

from datetime import datetime, timedelta

from jobs.domain.refusals import Refused

OLDEST = timedelta(days=31)  # a phone that was offline longer has the wrong time


def happened_at(device_at: datetime | None, at: datetime) -> datetime:
    """The phone's time, never later than the server's. Refused when it cannot be right."""
    if device_at is None or device_at >= at:
        return at
    if at - device_at > OLDEST:
        raise Refused("The time on this phone is far off. Set its clock and try again.")
    return device_at
