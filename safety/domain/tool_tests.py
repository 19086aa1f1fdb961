"""Electrical tests of tools on a lead: whether a tool may be used on a day.

How often a tool is tested is a value of the place's pack; a test may give an earlier day,
as the tester wrote it on the tag. The day a test is due is the last day it is good for.
"""

from collections.abc import Collection
from dataclasses import dataclass
from datetime import date
from enum import StrEnum

from safety.domain.periods import months_later
from scheduling.domain.calendar import say_day

TEST_EVERY = "electrical.test_every"  # key of the pack's value


class TestState(StrEnum):
    """Where a tool stands, the best first."""

    __test__ = False  # pytest would take the name for a test class

    GOOD = "good"
    MISSING = "missing"
    OVERDUE = "overdue"
    FAILED = "failed"

    @property
    def rank(self) -> int:
        """Place in the order, 0 the best."""
        return list(TestState).index(self)


@dataclass(frozen=True, slots=True)
class Test:
    """One test. ``next_due`` is the last day it is good for, as the tester wrote it."""

    __test__ = False  # pytest would take the name for a test class

    tested_on: date
    passed: bool
    next_due: date | None = None

    def due(self, every_months: int | None) -> date | None:
        """The last day it is good for: the tester's or the place's, whichever is sooner.

        None when it failed, or when neither gives a day.
        """
        if not self.passed:
            return None
        by_place = months_later(self.tested_on, every_months) if every_months else None
        return min((day for day in (self.next_due, by_place) if day), default=None)


@dataclass(frozen=True, slots=True)
class TestedTool:
    """A tool of the firm's with its tests."""

    __test__ = False  # pytest would take the name for a test class

    pk: int
    kind: str  # key of the tools table
    name: str
    tests: tuple[Test, ...] = ()  # in the order they were made

    def last(self, on: date) -> Test | None:
        """The test that counts on a day; later ones are not known then."""
        before = [test for test in self.tests if test.tested_on <= on]
        return before[-1] if before else None

    def state(self, on: date, every_months: int | None) -> TestState:
        """Whether it may be used on a day."""
        last = self.last(on)
        if last is None:
            return TestState.MISSING
        if not last.passed:
            return TestState.FAILED
        due = last.due(every_months)
        return TestState.OVERDUE if due is not None and on > due else TestState.GOOD

    def says(self, on: date, every_months: int | None) -> str:
        """Why it may not be used, to stand behind its name: "failed its test on ..."."""
        last = self.last(on)
        if last is None:
            return "has no electrical test on record"
        if not last.passed:
            return f"failed its electrical test on {say_day(last.tested_on)}"
        due = last.due(every_months)
        if due is None:
            return f"was tested on {say_day(last.tested_on)}"
        ran = "ran out" if on > due else "is good until"
        joint = "on " if on > due else ""
        return f"has an electrical test that {ran} {joint}{say_day(due)}"


@dataclass(frozen=True, slots=True)
class Unfit:
    """A kind of tool of which none may be used on a day."""

    kind: str
    state: TestState  # the worst
    tool: TestedTool  # that it is the state of
    says: str
    since: date | None  # None when it was never tested


def unfit(
    tools: Collection[TestedTool], kind: str, on: date, every_months: int | None
) -> Unfit | None:
    """Why no tool of a kind may be used on a day; None when one may.

    A kind that the firm has listed no tool of holds nothing: what is not on its list is
    hired, lent or not used, and nothing is known of it.
    """
    of_kind = [tool for tool in tools if tool.kind == kind]
    states = [(tool.state(on, every_months), tool) for tool in of_kind]
    if not states or any(state is TestState.GOOD for state, _ in states):
        return None
    state, worst = max(states, key=lambda pair: pair[0].rank)
    said = [f"“{tool.name}” {tool.says(on, every_months)}" for _, tool in states]
    last = worst.last(on)
    since = (last.due(every_months) or last.tested_on) if last else None
    return Unfit(kind, state, worst, "; ".join(said), since)
