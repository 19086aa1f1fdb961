"""Whether a tool on a lead may be used on a day."""

from datetime import date, timedelta

import pytest

from safety.domain.tool_tests import Test, TestedTool, TestState, unfit

MAY = date(2026, 5, 3)
DUE = date(2026, 8, 3)  # three months later
DAY = timedelta(days=1)


def saw(*tests, name="Drop saw 1", pk=1):
    return TestedTool(pk, "drop_saw", name, tests)


PASSED = Test(MAY, passed=True)
FAILED = Test(MAY, passed=False)


@pytest.mark.parametrize(
    ("tests", "on", "state"),
    [
        ((), MAY, TestState.MISSING),
        ((PASSED,), MAY, TestState.GOOD),
        ((PASSED,), DUE, TestState.GOOD),
        ((PASSED,), DUE + DAY, TestState.OVERDUE),
        ((FAILED,), MAY, TestState.FAILED),
        ((PASSED, Test(DUE, passed=False)), DUE, TestState.FAILED),
        ((FAILED, Test(DUE, passed=True)), DUE + DAY, TestState.GOOD),
        (
            (PASSED,),
            MAY - DAY,
            TestState.MISSING,
        ),  # a test is no proof of the day before
    ],
)
def test_the_last_test_of_the_day_decides(tests, on, state):
    assert saw(*tests).state(on, 3) is state


def test_the_tester_s_day_counts_when_it_is_sooner_and_never_when_later():
    sooner = Test(MAY, passed=True, next_due=date(2026, 6, 3))
    later = Test(MAY, passed=True, next_due=date(2026, 12, 3))
    assert sooner.due(3) == date(2026, 6, 3)
    assert later.due(3) == DUE
    assert later.due(None) == date(2026, 12, 3)
    assert PASSED.due(None) is None
    assert saw(PASSED).state(date(2036, 1, 1), None) is TestState.GOOD


def test_a_kind_with_none_on_the_list_holds_nothing():
    assert unfit([saw()], "breaker", MAY, 3) is None
    assert unfit([], "drop_saw", MAY, 3) is None


def test_one_good_tool_of_a_kind_is_enough():
    bad, good = saw(FAILED), saw(PASSED, name="Drop saw 2", pk=2)
    assert unfit([bad, good], "drop_saw", MAY, 3) is None
    found = unfit([bad, good], "drop_saw", DUE + DAY, 3)
    assert found is not None
    assert (found.state, found.tool.pk, found.since) == (TestState.FAILED, 1, MAY)
    assert found.says == (
        "“Drop saw 1” failed its electrical test on Sun 3 May 2026; “Drop saw 2” has an "
        "electrical test that ran out on Mon 3 Aug 2026"
    )
