"""The firm, and what day it is there."""

from datetime import date, datetime
from zoneinfo import ZoneInfo

from jobs.models import Firm


def the_firm() -> Firm:
    """The firm's row, or an unsaved one before it is set up."""
    return Firm.objects.filter(pk=1).first() or Firm(pk=1, name="Eavesline")


def local_day(at: datetime, firm: Firm | None = None) -> date:
    """The calendar day at the firm at that moment."""
    return at.astimezone(ZoneInfo((firm or the_firm()).time_zone)).date()
