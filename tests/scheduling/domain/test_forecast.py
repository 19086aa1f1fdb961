"""A job played through: what must hold whatever chance does."""

from datetime import date, timedelta

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from jobs.domain.methods import LagKind
from jobs.domain.survival import Curve
from scheduling.domain.calendar import working_calendar
from scheduling.domain.forecast import (
    Awaited,
    JobAhead,
    TaskLeft,
    VisitLeft,
    rain_chances,
    simulate,
)

MONDAY = date(2026, 8, 3)
CALENDAR = working_calendar(MONDAY, MONDAY + timedelta(days=730))
HALF = 225.0


def visit(*minutes, ordinal=1, not_before=0, links=(), rain=False, spread=0.0):
    tasks = tuple(TaskLeft(m, spread=spread) for m in minutes)
    return VisitLeft(ordinal, tasks, not_before, links, rain)


def job(*visits, approvals=(), rain=(0.0,) * 12):
    return JobAhead(MONDAY, CALENDAR, HALF, visits, approvals, rain)


def sure(days):
    """An approval that is back after exactly so many days."""
    return Awaited(Curve((*[1.0] * days, 0.0)))


def done(ahead):
    finish = simulate(ahead, runs=60)
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
    roof, slab = job(visit(2250, rain=True), rain=wet), job(visit(2250), rain=wet)
    assert done(roof)[0] > done(slab)[0] == date(2026, 8, 7)


def test_unsure_tasks_spread_the_days():
    finish = simulate(job(visit(*[450] * 8, spread=0.5)))
    assert finish.half < finish.most
    assert 0.45 <= finish.chance_by(finish.half) < 0.8 <= finish.chance_by(finish.most)


def test_what_the_tasks_share_does_not_even_out():
    alone = tuple(TaskLeft(450, spread=0.4) for _ in range(12))
    together = tuple(TaskLeft(450, unsure=0.4) for _ in range(12))
    spans = []
    for tasks in (alone, together):
        finish = simulate(job(VisitLeft(1, tasks, 0)))
        spans.append((finish.by(0.9) - finish.by(0.1)).days)
    assert spans[1] > spans[0]


def test_the_same_job_has_the_same_forecast():
    ahead = job(visit(2000, rain=True, spread=0.4), rain=(0.2,) * 12)
    assert simulate(ahead) == simulate(ahead)
    assert simulate(ahead) != simulate(ahead, seed=2)


def test_nothing_left_has_no_forecast():
    with pytest.raises(ValueError, match="nothing is left"):
        simulate(job())


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
    dry, wet = (simulate(job(work, rain=(c,) * 12), runs=20) for c in (0, chance))
    held = simulate(job(work, approvals=(sure(days),)), runs=20)
    assert dry.days[0] >= CALENDAR.slot(start).day
    assert all(a <= b for a, b in zip(dry.days, wet.days, strict=True))
    assert held.days[0] > MONDAY + timedelta(days=days)
    assert dry.half <= dry.most


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
