"""Public holidays against officially published dates.

New South Wales 2026 and 2027: table of the state's local government body, read:
https://lgnsw.org.au/Public/Public/Members-Services/NSW_Public_Holidays.aspx
Other states 2026: the country's tourism body, read (written before the New South Wales
order of February 2026 on Anzac Day, so its dates for that state are not used):
https://www.australia.com/en-sg/facts-and-planning/when-to-go/australian-public-holidays.html
"""

from datetime import date

import pytest

from scheduling.public_holidays import public_holidays

NSW_2026 = "1-1 1-26 4-3 4-4 4-5 4-6 4-25 4-27 6-8 10-5 12-25 12-26 12-28"
NSW_2027 = "1-1 1-26 3-26 3-27 3-28 3-29 4-25 4-26 6-14 10-4 12-25 12-26 12-27 12-28"

# Each place's own days beside the national ones (1 and 26 January, Easter, Anzac Day,
# Christmas and its make-up day).
OWN_2026 = {
    "au-act": "3-9 6-1 6-8 10-5",
    "au-nt": "5-4 6-8 8-3",
    "au-qld": "5-4 10-5",
    "au-sa": "3-9 6-8 10-5",
    "au-tas": "3-9 6-8",
    "au-vic": "3-9 6-8 11-3",
}
NATIONAL_2026 = "1-1 1-26 4-3 4-6 4-25 12-25 12-28"


def days(text, year):
    return {date(year, *map(int, day.split("-"))) for day in text.split()}


def found(place, year):
    return set(public_holidays(place, date(year, 1, 1), date(year, 12, 31)))


@pytest.mark.parametrize(("year", "table"), [(2026, NSW_2026), (2027, NSW_2027)])
def test_new_south_wales_day_by_day(year, table):
    assert found("au-nsw", year) == days(table, year)


def test_the_additional_anzac_days_of_the_2026_order():
    """A library released before 20 February 2026 misses both.

    Public Holidays Amendment (Anzac Day) Order 2026, read in a report of it:
    https://www.perthnow.com.au/news/its-official-millions-in-nsw-to-get-additional-public-holiday-c-21699166
    """
    assert date(2026, 4, 27) in found("au-nsw", 2026)
    assert date(2027, 4, 26) in found("au-nsw", 2027)


@pytest.mark.parametrize("place", OWN_2026)
def test_other_states_keep_the_national_days_and_their_own(place):
    assert days(f"{NATIONAL_2026} {OWN_2026[place]}", 2026) <= found(place, 2026)


def test_neighbours_differ():
    """Queensland's King's Birthday is New South Wales' Labour Day, and no 8 June."""
    assert date(2026, 6, 8) not in found("au-qld", 2026)
    assert public_holidays("au-qld", date(2026, 10, 5), date(2026, 10, 5)) == {
        date(2026, 10, 5): "King's Birthday"
    }


def test_easter_sundays():
    """20 April 2025, 5 April 2026, 28 March 2027, 16 April 2028: computed, Gregorian."""
    for day in (date(2025, 4, 20), date(2026, 4, 5), date(2027, 3, 28)):
        assert day in found("au-nsw", day.year)
    assert date(2028, 4, 16) in found("au-nsw", 2028)


def test_an_unknown_place_has_none():
    assert found("xx-none", 2026) == set()
