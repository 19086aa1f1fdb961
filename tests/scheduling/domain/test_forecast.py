"""A job played through: what must hold whatever chance does."""

from dataclasses import replace
from datetime import date, timedelta

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from jobs.domain.methods import LagKind
from jobs.domain.survival import Curve
from scheduling.domain.calendar import Half, Slot, working_calendar
from scheduling.domain.delivery_times import Coming
from scheduling.domain.forecast import (
    Awaited,
    FirmAhead,
    JobAhead,
    TaskLeft,
    VisitLeft,
    earlier_in_crews,
    simulate,
)
from scheduling.domain.sky import rain_chances

MONDAY = date(2026, 8, 3)
CALENDAR = working_calendar(MONDAY, MONDAY + timedelta(days=730))
HALF = 225.0


def visit(*minutes, ordinal=1, not_before=0, links=(), rain=False, spread=0.0):
    tasks = tuple(TaskLeft(m, spread=spread) for m in minutes)
    return VisitLeft(ordinal, tasks, not_before, links, rain)


def job(*visits, key=1, approvals=(), loads=()):
    return JobAhead(key, visits, approvals, loads)


def play(*jobs, rain=(0.0,) * 12, **how):
    return simulate(FirmAhead(MONDAY, CALENDAR, HALF, jobs, rain), **how)


def alone(ahead, **how):
    """How one job ends with no other beside it."""
    return play(ahead, **how)[ahead.key]


def sure(days):
    """An approval that is back after exactly so many days."""
    return Awaited(Curve((*[1.0] * days, 0.0)))


def done(ahead, **how):
    finish = alone(ahead, runs=60, **how)
    return finish.half, finish.most


def test_without_chance_it_is_the_plan():
    four_halves = job(visit(450, 450))
    assert done(four_halves) == (date(2026, 8, 4), date(2026, 8, 4))


def test_visits_wait_for_each_other_and_for_what_cures():
    wait = ((1, 24.0, LagKind.CALENDAR),)
    ahead = job(visit(900), visit(200, ordinal=2, links=wait))
    # Tuesday evening, a day of curing, then the first half-day after it.
    assert done(ahead)[0] == date(2026, 8, 6)


def test_a_planned_start_is_kept():
    assert done(job(visit(200, not_before=10)))[0] == date(2026, 8, 10)


def test_work_waits_for_its_approval():
    # Back on Saturday, so work starts on Monday.
    assert done(job(visit(200), approvals=(sure(5),)))[0] == date(2026, 8, 10)
    assert done(job(visit(200), approvals=(sure(1), sure(2))))[0] == date(2026, 8, 6)


def test_an_approval_is_compared_with_those_that_waited_as_long():
    curve = Curve((1.0,) * 5 + (0.5,) * 15 + (0.0,))
    fresh, waited = Awaited(curve), Awaited(curve, waited=10)
    assert fresh.back_on(MONDAY, 0.4) == MONDAY + timedelta(days=5)
    assert waited.back_on(MONDAY, 0.4) == MONDAY + timedelta(days=10)
    assert Awaited(curve, waited=30).back_on(MONDAY, 0.4) == MONDAY + timedelta(days=1)


def test_rain_takes_days_from_roofs_only():
    wet = (0.5,) * 12
    roof, slab = job(visit(2250, rain=True)), job(visit(2250))
    assert done(roof, rain=wet)[0] > done(slab, rain=wet)[0] == date(2026, 8, 7)


def test_unsure_tasks_spread_the_days():
    finish = alone(job(visit(*[450] * 8, spread=0.5)))
    assert finish.half < finish.most
    assert 0.45 <= finish.chance_by(finish.half) < 0.8 <= finish.chance_by(finish.most)


def test_what_the_tasks_share_does_not_even_out():
    apart = tuple(TaskLeft(450, spread=0.4) for _ in range(12))
    together = tuple(TaskLeft(450, unsure=0.4) for _ in range(12))
    spans = []
    for tasks in (apart, together):
        finish = alone(job(VisitLeft(1, tasks, 0)))
        spans.append((finish.by(0.9) - finish.by(0.1)).days)
    assert spans[1] > spans[0]


def test_the_same_job_has_the_same_forecast():
    ahead, rain = job(visit(2000, rain=True, spread=0.4)), (0.2,) * 12
    assert alone(ahead, rain=rain) == alone(ahead, rain=rain)
    assert alone(ahead, rain=rain) != alone(ahead, rain=rain, seed=2)


def test_a_job_draws_the_same_luck_whoever_is_beside_it():
    ahead = job(visit(2000, rain=True, spread=0.4), key=1)
    other = job(visit(900, rain=True, spread=0.4), key=2)
    rain = (0.2,) * 12
    assert play(other, ahead, rain=rain)[1] == alone(ahead, rain=rain)


def test_nothing_left_has_no_forecast():
    with pytest.raises(ValueError, match="nothing is left"):
        alone(job())


@settings(max_examples=40)
@given(
    minutes=st.lists(st.floats(10, 3000), min_size=1, max_size=6),
    start=st.integers(0, 40),
    chance=st.floats(0, 0.6),
    days=st.integers(1, 60),
)
def test_never_before_its_start_and_never_sooner_for_more_trouble(
    minutes, start, chance, days
):
    work = visit(*minutes, not_before=start, rain=True)
    dry, wet = (alone(job(work), rain=(c,) * 12, runs=20) for c in (0, chance))
    held = alone(job(work, approvals=(sure(days),)), runs=20)
    assert dry.days[0] >= CALENDAR.slot(start).day
    assert all(a <= b for a, b in zip(dry.days, wet.days, strict=True))
    assert held.days[0] > MONDAY + timedelta(days=days)
    assert dry.half <= dry.most


# -- loads


def coming(*still, promised=None, waited=-1):
    return Coming(Curve((*still, 0.0)), promised, waited)


WEDNESDAY = Slot(date(2026, 8, 5), Half.AM)


def test_work_waits_for_its_load_and_begins_the_half_day_after():
    sheets = VisitLeft(1, (TaskLeft(200),), 0, loads=(0,))
    prompt = coming(promised=WEDNESDAY)
    assert done(job(sheets, loads=(prompt,)))[0] == date(2026, 8, 5)
    five_late = coming(1.0, 1.0, 1.0, 1.0, 1.0, promised=WEDNESDAY)
    assert done(job(sheets, loads=(five_late,)))[0] == date(2026, 8, 10)
    posts = VisitLeft(1, (TaskLeft(200),), 0)
    assert done(job(posts, loads=(five_late,)))[0] == MONDAY


def test_a_load_that_may_be_late_spreads_the_days():
    finish = alone(
        job(
            VisitLeft(1, (TaskLeft(200),), 0, loads=(0,)),
            loads=(coming(*[0.3] * 7, promised=WEDNESDAY),),
        )
    )
    assert finish.half == date(2026, 8, 5)
    assert finish.most == date(2026, 8, 12)


# -- crews

FULL = 4 * HALF  # two days of work


def booked(at, *, crew=1, **more):
    tasks = (TaskLeft(FULL, **more),)
    return VisitLeft(1, tasks, at, crew=crew, planned=at)


def test_a_slip_pushes_what_the_crew_does_next():
    late = job(booked(0), key=1, approvals=(sure(5),))  # begins a week late
    behind, other = job(booked(4), key=2), job(booked(4, crew=2), key=3)
    ends = {key: one.half for key, one in play(late, behind, other, runs=5).items()}
    assert ends == {
        1: date(2026, 8, 11),
        2: date(2026, 8, 13),
        3: date(2026, 8, 6),
    }


def test_a_gap_in_the_plan_takes_a_slip_up():
    late = job(booked(0), key=1, approvals=(sure(2),))
    assert play(late, job(booked(20), key=2), runs=5)[2].half == date(2026, 8, 18)


def test_the_order_of_the_plan_is_kept_and_counted():
    jobs = [job(booked(at), key=key) for key, at in ((1, 8), (2, 0), (3, 4))]
    twice = job(booked(12), VisitLeft(2, (TaskLeft(9),), 16, crew=1, planned=16), key=4)
    assert earlier_in_crews([*jobs, twice]) == {2: 0, 3: 1, 1: 2, 4: 3}


def test_a_visit_booked_before_what_it_waits_for_is_no_circle():
    first = VisitLeft(1, (TaskLeft(FULL),), 8, crew=1, planned=8)
    link = ((1, 0.0, LagKind.CALENDAR),)
    second = VisitLeft(2, (TaskLeft(FULL),), 0, link, crew=1, planned=0)
    ends = play(job(first, second, key=1), job(booked(4), key=2), runs=5)
    assert ends[2].half == date(2026, 8, 6)
    assert ends[1].half == date(2026, 8, 12)


PLANS = st.lists(
    st.tuples(st.integers(1, 3), st.integers(1, 6), st.integers(0, 6)),
    min_size=1,
    max_size=8,
)


def plan_of(rows, *, spread=0.0):
    """Jobs of one visit: crew, half-days, and half-days free before it."""
    free: dict[int, int] = {}
    jobs = []
    for key, (crew, halves, gap) in enumerate(rows):
        at = free.get(crew, 0) + gap
        tasks = (TaskLeft(halves * HALF, spread=spread, unsure=spread),)
        visit_ = VisitLeft(1, tasks, at, crew=crew, planned=at, stops_in_rain=True)
        jobs.append(JobAhead(key, (visit_,)))
        free[crew] = at + halves
    return jobs, {
        key: j.visits[0].planned + r[1]
        for key, (j, r) in enumerate(zip(jobs, rows, strict=True))
    }


@settings(max_examples=40)
@given(rows=PLANS)
def test_without_chance_a_plan_ends_as_planned(rows):
    jobs, ends = plan_of(rows)
    for key, finish in play(*jobs, runs=3).items():
        assert set(finish.days) == {CALENDAR.slot(ends[key] - 1).day}


@settings(max_examples=40)
@given(
    rows=PLANS,
    chance=st.floats(0, 0.4),
    late=st.integers(1, 40),
    at=st.integers(0, 7),
    how=st.sampled_from(["approval", "load", "longer"]),
)
def test_more_delay_before_never_brings_a_job_forward(rows, chance, late, at, how):
    jobs, _ = plan_of(rows, spread=0.4)
    job_ = jobs[at % len(jobs)]
    (one,) = job_.visits
    if how == "approval":
        worse = replace(job_, approvals=(sure(late),))
    elif how == "load":
        one = replace(one, loads=(0,))
        worse = replace(job_, visits=(one,), loads=(coming(*[1.0] * late),))
    else:
        (task,) = one.tasks
        one = replace(one, tasks=(replace(task, minutes=task.minutes + 60 * late),))
        worse = replace(job_, visits=(one,))
    worsened = [worse if other is job_ else other for other in jobs]
    rain = (chance,) * 12
    before, after = (play(*some, rain=rain, runs=20) for some in (jobs, worsened))
    for key, finish in before.items():
        days = zip(finish.days, after[key].days, strict=True)
        assert all(a <= b for a, b in days)
        assert after[key].half <= after[key].most


# -- rain


@given(
    worked=st.dictionaries(st.integers(1, 12), st.integers(0, 70)),
    lost=st.dictionaries(st.integers(1, 12), st.integers(0, 70)),
    allowed=st.floats(0, 0.8),
)
def test_a_chance_of_rain_lies_between_allowance_and_own_days(worked, lost, allowed):
    found = rain_chances(worked, lost, [allowed] * 12)
    for month, chance in enumerate(found, start=1):
        days = max(worked.get(month, 0), lost.get(month, 0))
        own = lost.get(month, 0) / days if days else allowed
        low, high = sorted((allowed, own))
        assert low - 1e-9 <= chance <= high + 1e-9
