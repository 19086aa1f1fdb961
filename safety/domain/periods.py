"""Periods of calendar months, as laws count them."""

from calendar import monthrange
from datetime import date


def months_later(day: date, months: int) -> date:
    """The same day of the month so many months later, the last of a shorter month."""
    year, month = divmod(day.year * 12 + day.month - 1 + months, 12)
    last = monthrange(year, month + 1)[1]
    return date(year, month + 1, min(day.day, last))
