"""Crews, and who is in them on which day."""

from datetime import date

import pytest
from django.core.exceptions import PermissionDenied, ValidationError

from jobs.domain.refusals import Refused, Stale
from jobs.models import LedgerEntry
from scheduling.queries.rosters import roster
from scheduling.services.crews import add_crew, edit_crew, join_crew, leave_crew

MONDAY = date(2026, 8, 3)
FRIDAY = date(2026, 8, 7)


def names(crew, day, now):
    return [person.name for person in roster(day, day, now).members(crew.pk, day)]


def test_people_belong_to_a_crew_from_a_day_on(blue, now):
    assert names(blue, MONDAY, now) == ["Kim Crew", "Sal Lead"]
    assert names(blue, date(2026, 8, 2), now) == []


def test_who_joins_another_crew_leaves_the_first_the_day_before(
    blue, red, kim, oscar, now
):
    join_crew(crew=red, person=kim, from_on=FRIDAY, actor=oscar, at=now)
    assert "Kim Crew" in names(blue, date(2026, 8, 6), now)
    assert "Kim Crew" not in names(blue, FRIDAY, now)
    assert "Kim Crew" in names(red, FRIDAY, now)


def test_the_last_day_in_a_crew_counts(blue, kim, oscar, now):
    place = blue.members.get(person=kim)
    leave_crew(place=place, to_on=FRIDAY, actor=oscar, at=now)
    assert "Kim Crew" in names(blue, FRIDAY, now)
    assert "Kim Crew" not in names(blue, date(2026, 8, 8), now)
    entry = LedgerEntry.objects.filter(verb="firm:crew:member-left").get()
    assert '"to_on":"2026-08-07"' in entry.payload


def test_a_person_is_in_one_crew_at_a_time(blue, red, kim, oscar, now):
    leave_crew(place=blue.members.get(person=kim), to_on=FRIDAY, actor=oscar, at=now)
    with pytest.raises(Refused, match="Kim Crew is in Blue from Mon 3 Aug 2026"):
        join_crew(crew=red, person=kim, from_on=MONDAY, actor=oscar, at=now)


def test_joining_twice_is_refused(blue, kim, oscar, now):
    with pytest.raises(Refused, match="already"):
        join_crew(crew=blue, person=kim, from_on=FRIDAY, actor=oscar, at=now)


def test_days_must_be_in_order(blue, ned, oscar, now):
    with pytest.raises(Refused, match="last day lies before"):
        join_crew(
            crew=blue,
            person=ned,
            from_on=FRIDAY,
            to_on=MONDAY,
            actor=oscar,
            at=now,
        )


def test_a_stale_edit_is_refused(blue, oscar, now):
    edit_crew(crew=blue, version=1, values={"base": "Yard"}, actor=oscar, at=now)
    with pytest.raises(Stale):
        edit_crew(crew=blue, version=1, values={"base": "Shed"}, actor=oscar, at=now)


def test_two_crews_may_not_share_a_name(blue, oscar, now):
    with pytest.raises(ValidationError):
        add_crew(values={"name": "Blue"}, actor=oscar, at=now)


def test_only_who_schedules_may_make_crews(sal, olive, now):
    for person in (sal, olive):
        with pytest.raises(PermissionDenied):
            add_crew(values={"name": "Green"}, actor=person, at=now)
