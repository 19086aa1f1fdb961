"""Public holidays of the place a firm works in. The only door to ``holidays``.

The dates are the library's; that it agrees with dates officially published is shown by
the tests against outside sources. A holiday that only part of a state keeps (a show day,
a city's cup day) is not among them: the office adds such a day as a closure.
"""

from collections.abc import Mapping
from datetime import date
from functools import lru_cache
from types import MappingProxyType

import holidays

SPELLING = "en_AU"  # where the library has it; elsewhere the country's own


def public_holidays(place: str, first: date, last: date) -> Mapping[date, str]:
    """Names of the public holidays from ``first`` to ``last``, both included.

    ``place`` is a country by ISO 3166-1 and, after a dash, its part by ISO 3166-2, as
    packs write them ("au-nsw"). An unknown place has no holidays.
    """
    found: dict[date, str] = {}
    for year in range(first.year, last.year + 1):
        found.update(
            (day, name)
            for day, name in _of_year(place, year).items()
            if first <= day <= last
        )
    return found


def knows(place: str) -> bool:
    """Whether the library has dates for this place."""
    country, part = _split(place)
    parts = holidays.list_supported_countries().get(country)
    return parts is not None and (part is None or part in parts)


@lru_cache(maxsize=64)
def _of_year(place: str, year: int) -> Mapping[date, str]:
    if not knows(place):
        return MappingProxyType({})
    country, part = _split(place)
    spelled = SPELLING in holidays.list_localized_countries().get(country, ())
    days = holidays.country_holidays(
        country, subdiv=part, years=year, language=SPELLING if spelled else None
    )
    return MappingProxyType(dict(sorted(days.items())))


def _split(place: str) -> tuple[str, str | None]:
    country, _, part = place.upper().partition("-")
    return country, part or None
