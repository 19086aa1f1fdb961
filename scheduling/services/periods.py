"""Days that somebody or something is away: what no record may say."""

from datetime import date, timedelta

from jobs.domain.refusals import Refused

LONGEST = timedelta(days=2 * 365 + 1)  # with the day of a leap year


def refuse_odd_days(from_on: date, to_on: date) -> None:
    """Refuse an end before the beginning, and one that is years off."""
    if to_on < from_on:
        raise Refused("The last day lies before the first. Check the two days.")
    if to_on - from_on > LONGEST:
        raise Refused(
            "That is more than two years. Give a last day within two years of the "
            "first; record the rest when it is near."
        )
