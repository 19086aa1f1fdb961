"""Curves of waiting, whatever the waits are."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from jobs.domain.survival import (
    Curve,
    Wait,
    kaplan_meier,
    rule_of_thumb,
    with_prior,
)

waits = st.lists(st.builds(Wait, st.integers(0, 90), st.booleans()), max_size=25)
some = st.lists(
    st.builds(Wait, st.integers(0, 90), st.booleans()), min_size=1, max_size=25
)


@given(waits, st.integers(1, 60))
def test_a_curve_never_rises(found, usual):
    curve = with_prior(found, rule_of_thumb(usual, 90), 3)
    assert all(
        0 <= b <= a <= 1 for a, b in zip(curve.still, curve.still[1:], strict=False)
    )
    assert curve.still[-1] < 0.05


@given(some)
def test_with_a_guess_worth_nothing_it_is_kaplan_and_meier_s(found):
    last = max(wait.days for wait in found)
    plain = kaplan_meier(found)
    guessed = with_prior(found, rule_of_thumb(14, 90), 1e-9)
    for day in range(last + 1):
        assert guessed.after(day) == pytest.approx(plain.after(day), abs=1e-6)


@given(st.integers(1, 60), st.floats(0.1, 50))
def test_without_waits_it_is_the_guess(usual, worth):
    prior = rule_of_thumb(usual)
    assert with_prior([], prior, worth).still == pytest.approx(prior.still)


@given(st.lists(st.integers(0, 90), min_size=1, max_size=25))
def test_when_every_wait_is_over_it_counts_them(days):
    curve = kaplan_meier([Wait(n, over=True) for n in days])
    for day in range(91):
        left = sum(n > day for n in days) / len(days)
        assert curve.after(day) == pytest.approx(left)


@given(waits, st.integers(0, 90), st.integers(1, 60))
def test_one_more_that_is_still_out_never_makes_it_sooner(found, days, usual):
    prior = rule_of_thumb(usual, 90)
    before = with_prior(found, prior, 3)
    after = with_prior([*found, Wait(days, over=False)], prior, 3)
    assert all(a >= b - 1e-9 for a, b in zip(after.still, before.still, strict=True))


@given(waits, st.integers(0, 60), st.floats(0.05, 0.95))
def test_a_share_of_those_that_waited_as_long_is_over_by_then(found, waited, share):
    curve = with_prior(found, rule_of_thumb(14, 90), 3)
    days = curve.days_for(share, waited)
    assert days is not None
    assert days > waited
    among = curve.after(waited)
    assert curve.after(days) <= (1 - share) * among + 1e-9
    assert days == waited + 1 or curve.after(days - 1) > (1 - share) * among - 1e-9


def test_nobody_knows_when_what_nobody_saw_end_will_end():
    curve = kaplan_meier([Wait(5, over=True), Wait(9, over=False)])
    assert curve.days_for(0.4) == 5
    assert curve.days_for(0.8) is None
    assert Curve((1.0, 0.0)).days_for(0.5, waited=1) is None


def test_the_rule_of_thumb_is_as_it_says():
    curve = rule_of_thumb(20)
    assert (curve.days_for(0.5), curve.days_for(0.8)) == (20, 30)
