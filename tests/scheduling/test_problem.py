"""The scheduling problem, read from the firm's records."""

from datetime import date, timedelta

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from jobs.domain.approvals import Step
from jobs.services.approvals import record_step, set_expected
from scheduling.domain.calendar import Half, Slot
from scheduling.domain.problem import Pin, Published, ReadyKind
from scheduling.queries.problem import load_problem, open_jobs
from scheduling.queries.travel import travel_minutes
from scheduling.services.absences import record_absence
from scheduling.services.bookings import book_visit
from scheduling.services.crews import edit_crew
from scheduling.services.visits import sync_visits
from tests.scheduling.plans import lost_day, slot

MONDAY, TUESDAY, WEDNESDAY, THURSDAY = (date(2026, 8, day) for day in range(3, 7))


@pytest.fixture
def load(firm, oscar, now):
    """Cut every open job and load the problem at a moment."""

    def loaded(at=now):
        for job in open_jobs():
            sync_visits(job=job, actor=oscar, at=at)
        return load_problem(open_jobs(), firm, at)

    return loaded


@pytest.fixture
def booked(job, blue, oscar, now):
    first, _ = sync_visits(job=job, actor=oscar, at=now)
    return book_visit(
        visit=first, crew=blue, start=slot(TUESDAY), pinned=False, actor=oscar, at=now
    )


def visits(loaded):
    return loaded.problem.jobs[0].visits


def test_visits_crews_and_people_are_there(load, job, blue, kim, sal):
    loaded = load()
    first, second = visits(loaded)
    assert (first.halves, first.tickets) == ({2: 4, 3: 3}, ("Dogging licence",))
    assert (second.after[0].visit, second.after[0].lag_hours) == (first.key, 24.0)
    assert loaded.problem.now == Slot(MONDAY, Half.PM)
    (crew,) = loaded.problem.crews
    assert {m.person for m in crew.members} == {kim.pk, sal.pk}
    holder = next(p for p in loaded.problem.people if p.key == kim.pk)
    assert [ticket.kind for ticket in holder.tickets] == ["Dogging licence"]


def test_a_job_that_nothing_stops_is_firm_and_free(load, job, blue):
    (asked,) = load().problem.jobs
    assert not asked.tentative
    assert [visit.ready for visit in asked.visits] == [(), ()]


def test_an_approval_that_nobody_lodged_takes_its_usual_days(load, make_job, blue):
    make_job(approved=False)
    (asked,) = load().problem.jobs
    assert asked.tentative
    firsts = {ready.first for ready in asked.visits[0].ready}
    assert firsts == {slot(date(2026, 8, 18)), slot(date(2026, 9, 13))}
    assert {ready.kind for ready in asked.visits[0].ready} == {ReadyKind.APPROVAL}


def test_an_expected_approval_releases_the_job_the_day_after(
    load, make_job, blue, oscar, now
):
    job = make_job(approved=False)
    approval = job.approvals.get(kind__key="engineer")
    record_step(
        approval=approval, step=Step.LODGED, happened_on=MONDAY, actor=oscar, at=now
    )
    set_expected(
        approval=approval, version=1, expected_on=WEDNESDAY, actor=oscar, at=now
    )
    ready = next(r for r in visits(load())[0].ready if "engineer" in r.why.lower())
    assert ready.first == slot(THURSDAY)
    assert "likely back on Wed 5 Aug 2026" in ready.why


def test_material_is_there_for_the_half_day_after_it_is_due(load, delivery, blue):
    first, second = visits(load())
    assert {r.first for r in second.ready} == {Slot(WEDNESDAY, Half.PM)}
    assert [r.why for r in second.ready] == [
        "sheets due Wed 5 Aug 2026, morning",
        "gutters due Wed 5 Aug 2026, morning",
    ]
    assert {r.why for r in first.ready} == {
        "posts not ordered (about 10 days more)",
        "beams not ordered (about 10 days more)",
    }


def test_a_booking_ahead_is_published_and_may_be_pinned(load, booked):
    published = Published(booked.visit_id, booked.crew_id, slot(TUESDAY))
    loaded = load()
    assert loaded.problem.published == (published,)
    assert loaded.problem.pins == ()
    booked.is_pinned = True
    booked.save()
    pin = Pin(booked.visit_id, booked.crew_id, slot(TUESDAY))
    assert load().problem.pins == (pin,)


def test_what_is_on_site_is_held_where_it_is(load, booked, now):
    wednesday = now + timedelta(days=2)  # 10 am: the morning has begun
    loaded = load(wednesday)
    first, _ = visits(loaded)
    assert first.halves == {1: 1}
    assert loaded.problem.pins == (
        Pin(booked.visit_id, booked.crew_id, Slot(WEDNESDAY, Half.PM)),
    )
    assert loaded.begun == {booked.visit_id: slot(TUESDAY)}


def test_what_ran_over_is_planned_again_by_the_same_crew(load, booked, job, now):
    job.tasks.filter(key__in=["set_out", "posts"]).update(
        started_at=now, done_at=now + timedelta(days=1)
    )
    loaded = load(now + timedelta(days=3))
    assert visits(loaded)[0].halves == {2: 2, 3: 2}  # 700 of 1750 minutes are left
    assert loaded.problem.pins == (Pin(booked.visit_id, booked.crew_id),)
    (note,) = loaded.notes
    assert "booked until Wed 5 Aug 2026" in note


def test_what_nobody_began_is_free_again(load, booked, now):
    loaded = load(now + timedelta(days=3))
    assert visits(loaded)[0].halves == {2: 4, 3: 3}
    assert loaded.problem.pins == ()


def test_the_wait_after_a_visit_that_is_done_goes_on(load, booked, job, now):
    done = now + timedelta(days=1, hours=5)  # Tuesday, 3 pm
    job.tasks.filter(key__in=["set_out", "posts", "beams"]).update(
        started_at=now, done_at=done
    )
    (left,) = visits(load(done + timedelta(hours=1)))
    (ready,) = left.ready
    assert (ready.first, ready.why) == (slot(THURSDAY), "the posts have to set")


def test_absences_and_lost_days_are_told(load, job, blue, kim, oscar, now):
    record_absence(
        person=kim, from_on=TUESDAY, to_on=TUESDAY, reason="Sick", actor=oscar, at=now
    )
    record_absence(
        crew=blue, from_on=THURSDAY, to_on=THURSDAY, reason="Van", actor=oscar, at=now
    )
    lost_day(WEDNESDAY, "Rain", oscar, now)
    problem = load().problem
    person = next(p for p in problem.people if p.key == kim.pk)
    assert person.away[0].first == slot(TUESDAY)
    assert problem.crews[0].away[0].last == slot(THURSDAY, "pm")
    (stop,) = problem.stops
    assert (stop.first, stop.last, stop.jobs) == (
        slot(WEDNESDAY),
        slot(WEDNESDAY, "pm"),
        None,
    )
    assert all(visit.stops_in_rain for visit in problem.jobs[0].visits)


def test_a_crew_that_stopped_working_is_not_asked(load, job, blue, booked, oscar, now):
    edit_crew(crew=blue, version=1, values={"is_active": False}, actor=oscar, at=now)
    loaded = load(now + timedelta(days=2))
    assert loaded.problem.crews == ()
    assert loaded.problem.pins == (Pin(booked.visit_id),)


def test_driving_is_from_the_crew_s_own_base_when_it_is_known(job, blue):
    assert travel_minutes([blue], [job]) == {(blue.pk, job.pk): 20}
    blue.base_latitude, blue.base_longitude = -33.0, 151.0
    job.site.latitude, job.site.longitude = -33.1, 151.0
    # A tenth of a degree of latitude is 11.12 km; × 1.3 at 50 km/h is 17.3 minutes.
    assert travel_minutes([blue], [job]) == {(blue.pk, job.pk): 17}


def test_many_jobs_cost_no_more_queries(load, make_job, firm, blue, now):
    counts = set()
    for some in (1, 5):
        for n in range(some):
            make_job(f"Patio {some}{n}")
        load()
        jobs = open_jobs()
        with CaptureQueriesContext(connection) as asked:
            load_problem(jobs, firm, now)
        counts.add(len(asked))
    assert len(counts) == 1
