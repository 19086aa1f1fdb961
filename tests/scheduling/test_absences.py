"""Who is away, and when the firm is shut or rained off."""

from datetime import date, timedelta

import pytest
from django.core.exceptions import PermissionDenied
from django.db import IntegrityError

from jobs.domain.refusals import Refused
from jobs.models import LedgerEntry
from scheduling.models import Absence
from scheduling.queries.calendar import calendar_between, days_off
from scheduling.queries.crews import time_off
from scheduling.queries.rosters import roster
from scheduling.services.absences import (
    add_closure,
    cancel_absence,
    record_absence,
    remove_closure,
)
from scheduling.services.lost_days import (
    call_off_on_site,
    cancel_lost_day,
    record_lost_day,
)
from tests.scheduling.plans import publish, slot

MONDAY = date(2026, 8, 3)
TUESDAY = date(2026, 8, 4)


def away(person, oscar, now, **more):
    values = {"from_on": TUESDAY, "to_on": TUESDAY, "reason": "Dentist", **more}
    return record_absence(person=person, actor=oscar, at=now, **values)


def present(crew, day, at):
    return [person.name for person in roster(day, day, at).present(crew.pk, day)]


def test_who_is_away_is_not_there(blue, kim, oscar, now):
    away(kim, oscar, now)
    assert present(blue, TUESDAY, now) == ["Sal Lead"]
    assert present(blue, MONDAY, now) == ["Kim Crew", "Sal Lead"]


def test_a_past_moment_knows_only_what_was_recorded_then(blue, kim, oscar, now):
    absence = away(kim, oscar, now)
    cancel_absence(absence=absence, actor=oscar, at=now + timedelta(hours=2))
    day_before = now - timedelta(days=1)
    assert present(blue, TUESDAY, day_before) == ["Kim Crew", "Sal Lead"]
    assert present(blue, TUESDAY, now + timedelta(hours=1)) == ["Sal Lead"]
    assert len(present(blue, TUESDAY, now + timedelta(hours=3))) == 2


def test_a_crew_that_is_away_has_nobody(blue, oscar, now):
    record_absence(
        crew=blue,
        from_on=MONDAY,
        to_on=TUESDAY,
        reason="Truck in repair",
        actor=oscar,
        at=now,
    )
    assert present(blue, MONDAY, now) == []


def test_the_reason_stays_out_of_the_ledger(blue, kim, oscar, now):
    away(kim, oscar, now, reason="Knee operation")
    entry = LedgerEntry.objects.get(verb="firm:absence:recorded")
    assert "Knee" not in entry.payload


def test_it_is_a_person_or_a_crew(blue, kim, oscar, now):
    with pytest.raises(Refused, match="one of the two"):
        away(kim, oscar, now, crew=blue)
    with pytest.raises(IntegrityError, match="absence_of_person_or_crew"):
        Absence.objects.create(from_on=MONDAY, to_on=MONDAY, reason="", recorded_at=now)


def test_days_must_be_in_order(blue, kim, oscar, now):
    with pytest.raises(Refused, match="last day lies before"):
        away(kim, oscar, now, to_on=MONDAY)


def test_a_closure_takes_days_out_of_the_calendar(firm, oscar, now):
    closure = add_closure(
        from_on=MONDAY, to_on=TUESDAY, reason="Stocktake", actor=oscar, at=now
    )
    week = calendar_between(firm, MONDAY, date(2026, 8, 7))
    assert len(week) == 6
    assert [off.why for off in days_off(firm, MONDAY, TUESDAY)] == ["Stocktake"] * 2
    remove_closure(closure=closure, actor=oscar, at=now)
    assert len(calendar_between(firm, MONDAY, date(2026, 8, 7))) == 10


def test_the_firm_may_work_on_saturdays(firm):
    firm.works_saturday = True
    assert len(calendar_between(firm, MONDAY, date(2026, 8, 9))) == 12


@pytest.fixture
def booked(job, blue, oscar, now):
    """Blue is on the job from Monday to Tuesday of the next week."""
    span = slot(MONDAY), slot(TUESDAY + timedelta(days=7), "pm")
    publish({(job.pk, 1): (blue, *span)}, oscar, now - timedelta(days=3))
    return job


@pytest.mark.parametrize(
    ("days", "said"),
    [
        (6, "does not work on Sun 9 Aug 2026"),
        (7, "Stocktake"),
        (16, "Nothing is booked for .* on Wed 19 Aug 2026"),
        (-15, "Sun 19 Jul 2026 is too long ago"),
        (-10, "Nothing is booked"),
    ],
)
def test_only_a_day_with_work_of_late_is_called_off(booked, oscar, now, days, said):
    day = MONDAY + timedelta(days=7)
    add_closure(from_on=day, to_on=day, reason="Stocktake", actor=oscar, at=now)
    with pytest.raises(Refused, match=said):
        record_lost_day(
            day=MONDAY + timedelta(days=days),
            job=booked,
            reason="Rain",
            actor=oscar,
            at=now,
        )


def test_rain_is_written_down_up_to_two_weeks_late(booked, oscar, now):
    late = now + timedelta(days=14)
    assert time_off(late.date()).lost == []
    lost = record_lost_day(day=MONDAY, job=None, reason="Rain", actor=oscar, at=late)
    assert time_off(late.date()).lost == [lost]
    assert time_off(late.date() + timedelta(days=1)).lost == []


@pytest.mark.parametrize(("days", "drafts"), [(3, 1), (10, 0)])
def test_a_day_that_has_passed_moves_only_what_is_ahead(
    booked, sal, oscar, now, days, drafts
):
    later = now + timedelta(days=days)
    _, draft = call_off_on_site(
        day=TUESDAY, job=booked, reason="Rain", actor=sal, at=later
    )
    assert (draft is not None) == bool(drafts)


def test_a_lead_takes_back_only_what_they_called_off(booked, sal, lou, oscar, now):
    lost = record_lost_day(day=MONDAY, job=booked, reason="Rain", actor=sal, at=now)
    with pytest.raises(PermissionDenied):
        cancel_lost_day(lost=lost, actor=lou, at=now)
    cancel_lost_day(lost=lost, actor=sal, at=now)
    lost = record_lost_day(day=MONDAY, job=booked, reason="Rain", actor=oscar, at=now)
    with pytest.raises(PermissionDenied):
        cancel_lost_day(lost=lost, actor=sal, at=now)


def test_a_lead_calls_off_a_day_of_their_own_job_only(job, booked, sal, lou, now):
    record_lost_day(day=MONDAY, job=job, reason="Storm", actor=sal, at=now)
    for person, whose in ((lou, job), (sal, None)):
        with pytest.raises(PermissionDenied):
            record_lost_day(
                day=TUESDAY, job=whose, reason="Storm", actor=person, at=now
            )


def test_a_day_is_called_off_once_until_taken_back(job, booked, oscar, now):
    lost = record_lost_day(day=MONDAY, job=job, reason="Rain", actor=oscar, at=now)
    with pytest.raises(Refused, match="already"):
        record_lost_day(day=MONDAY, job=job, reason="Rain", actor=oscar, at=now)
    cancel_lost_day(lost=lost, actor=oscar, at=now)
    record_lost_day(day=MONDAY, job=job, reason="Rain", actor=oscar, at=now)


def test_only_the_office_records_absences(blue, kim, sal, now):
    with pytest.raises(PermissionDenied):
        away(kim, sal, now)
