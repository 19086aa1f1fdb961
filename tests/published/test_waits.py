"""Waits that are not over yet, against published worked examples."""

import pytest

from jobs.domain.survival import Curve, Wait, kaplan_meier, with_prior


def waits(text):
    """ "6 9+" is one wait over after 6, and one that still went on after 9."""
    return [Wait(int(w.rstrip("+")), over=not w.endswith("+")) for w in text.split()]


# V. Bewick, L. Cheek and J. Ball, "Statistics review 12: survival analysis", Critical
# Care 8 (2004), 389-394, table 2 (http://ccforum.com/content/8/5/389/table/T2, read):
# days of eight patients, and the share that survived each. Open access.
BEWICK = ("1 1 4 5 6+ 9 9+ 22", {1: 0.75, 4: 0.625, 5: 0.5, 9: 0.333, 22: 0.0})

# Weeks in remission of the 21 patients on 6-MP: E. J. Freireich and others, Blood 21
# (1963), 699-716; the estimate as printed in textbooks (remembered).
REMISSION = (
    "6 6 6 6+ 7 9+ 10 10+ 11+ 13 16 17+ 19+ 20+ 22 23 25+ 32+ 32+ 34+ 35+",
    {6: 0.857, 7: 0.807, 10: 0.753, 13: 0.690, 16: 0.627, 22: 0.538, 23: 0.448},
)


@pytest.mark.parametrize(("data", "printed"), [BEWICK, REMISSION])
def test_the_share_still_waiting_is_as_printed(data, printed):
    curve = kaplan_meier(waits(data))
    found = {day: curve.after(day) for day in printed}
    assert found == pytest.approx(printed, abs=0.0006)


@pytest.mark.parametrize(("data", "printed"), [BEWICK, REMISSION])
def test_between_those_days_nothing_changes(data, printed):
    curve = kaplan_meier(waits(data))
    falls = [n for n in range(1, 36) if curve.after(n) < curve.after(n - 1)]
    assert falls == list(printed)


def test_the_median_of_the_remissions_is_23_weeks():
    """As printed with the same table (remembered)."""
    assert kaplan_meier(waits(REMISSION[0])).days_for(0.5) == 23


def susarla_van_ryzin(found, prior, worth, day):
    """Their estimator as printed in 1976, eq. (2.10) (remembered), not as we do it.

    The chance of outlasting ``day``: what of prior and waits lies beyond it, by all of
    both, mended at each wait that was cut short by then.
    """
    beyond = worth * prior.after(day) + sum(w.days > day for w in found)
    share = beyond / (worth + len(found))
    for cut in sorted({w.days for w in found if not w.over and w.days <= day}):
        after = worth * prior.after(cut) + sum(w.days > cut for w in found)
        there = sum(w.days == cut and not w.over for w in found)
        share *= (after + there) / after
    return share


@pytest.mark.parametrize("data", [BEWICK[0], REMISSION[0]])
@pytest.mark.parametrize("worth", [0.5, 3.0, 8.0])
def test_with_a_guess_it_is_their_closed_form(data, worth):
    prior = Curve(tuple(0.92**day for day in range(1, 61)))
    found = waits(data)
    curve = with_prior(found, prior, worth)
    for day in range(60):
        printed = susarla_van_ryzin(found, prior, worth, day)
        assert curve.after(day) == pytest.approx(printed), day
