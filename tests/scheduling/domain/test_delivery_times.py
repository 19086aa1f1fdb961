"""What past loads say of those to come."""

from datetime import date, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from jobs.domain.survival import Curve
from scheduling.domain.calendar import Half, Slot
from scheduling.domain.delivery_times import (
    LATEST,
    PROMPT,
    Coming,
    PastLoad,
    delivery_times,
    late_waits,
    lead_waits,
    usual_lateness,
)

TODAY = date(2026, 8, 3)
OWN, OTHER = 1, 2


def ago(days):
    return TODAY - timedelta(days=days)


def load(due=30, came=None, *, ordered=50, supplier=OWN, over=None):
    """Days ago; ``due`` None: no day was given."""
    return PastLoad(
        supplier,
        ago(ordered),
        None if due is None else ago(due),
        None if came is None else ago(came),
        None if over is None else ago(over),
    )


def said(waits):
    return [(wait.days, wait.over) for wait in waits]


def test_late_is_counted_from_the_day_given():
    loads = [
        load(30, 30),  # on the day
        load(30, 33),  # three days early
        load(30, 24),  # six days late
        load(4),  # four days late and still out
        load(4, over=1),  # called off when it was three days late
        load(-2),  # not due yet
        load(None, 10),  # nobody gave a day
    ]
    assert said(late_waits(loads, TODAY)) == [
        (0, True),
        (0, True),
        (6, True),
        (4, False),
        (3, False),
    ]


def test_time_from_the_order_counts_loads_without_a_day_too():
    loads = [load(None, 10, ordered=25), load(None, ordered=8), load(5, 6, ordered=20)]
    assert said(lead_waits(loads, TODAY)) == [(15, True), (8, False), (14, True)]


def test_what_came_later_is_not_known_before():
    assert said(late_waits([load(30, 24)], ago(26))) == [(4, False)]


def test_without_loads_it_is_the_rule_of_thumb():
    times = delivery_times([], OWN, 10, TODAY)
    assert times.late.still == pytest.approx(usual_lateness().still)
    assert times.late.days_for(PROMPT) == 0
    assert times.late.days_for(0.5) == 0
    assert times.lead.days_for(0.5) == 10
    assert times.late.after(LATEST) == 0


def test_own_loads_count_for_more_than_those_of_others():
    late = [load(30, 20) for _ in range(6)]  # ten days late
    prompt = [load(30, 30, supplier=OTHER) for _ in range(6)]
    times = [delivery_times([*late, *prompt], s, 10, TODAY) for s in (OWN, OTHER, 3)]
    chances = [one.late.after(9) for one in times]  # still out after nine days
    assert chances[0] > chances[2] > chances[1]
    # By hand: 6 of 6 own loads late, and a guess worth 3 of them.
    rest = delivery_times(prompt, OWN, 10, TODAY).late.after(9)
    assert chances[0] == pytest.approx((6 + 3 * rest) / 9)


def test_a_load_still_out_makes_the_forecast_later():
    came = [load(30, 30), load(30, 28)]
    without = delivery_times(came, OWN, 10, TODAY).late
    with_late = delivery_times([*came, load(20)], OWN, 10, TODAY).late
    assert with_late.after(10) > without.after(10)


CURVE = Curve((0.5, 0.25, 0.1, 0.0))
WEDNESDAY = Slot(date(2026, 8, 5), Half.PM)


def test_a_load_with_a_day_never_comes_before_it():
    coming = Coming(CURVE, WEDNESDAY)
    assert coming.here(TODAY, 0.5) == WEDNESDAY
    assert coming.here(TODAY, 0.8) == Slot(date(2026, 8, 7), Half.PM)


def test_an_overdue_load_is_compared_with_those_as_late():
    coming = Coming(Curve((0.5, 0.5, 0.4, 0.2, 0.0)), Slot(ago(2), Half.AM))
    assert coming.here(TODAY, 0.5) == Slot(date(2026, 8, 4), Half.AM)
    assert coming.here(TODAY, 0.9) == Slot(date(2026, 8, 5), Half.AM)
    forgotten = Coming(CURVE, Slot(ago(90), Half.AM))
    assert forgotten.here(TODAY, 0.1).day == date(2026, 8, 4)


@given(
    late=st.lists(st.integers(-5, 40), max_size=12),
    out=st.lists(st.integers(1, 40), max_size=6),
    luck=st.floats(0, 0.999),
    more=st.floats(0, 0.999),
    waited=st.integers(-1, 30),
)
def test_more_luck_needed_is_never_sooner(late, out, luck, more, waited):
    loads = [load(60, 60 - days, ordered=90) for days in late]
    loads += [load(days, ordered=90) for days in out]
    times = delivery_times(loads, OWN, 10, TODAY)
    low, high = sorted((luck, more))
    for coming in (
        Coming(times.late, WEDNESDAY),
        Coming(times.lead, waited=waited),
        Coming(times.late, Slot(ago(3), Half.AM)),
    ):
        assert TODAY < coming.here(TODAY, low).day <= coming.here(TODAY, high).day
