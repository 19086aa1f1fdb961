"""What a job owes before and while work goes on, and which holds speak of it.

An obligation is breached when work went ahead while a hold that speaks of it was open;
it is open while such a hold is. So the compliance table, the job page and the day on
site read the same holds.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from enum import StrEnum

# The rules of safety's own holds; a hold point adds its own key.
STATEMENT_MISSING = "statement.missing"
STATEMENT_STALE = "statement.stale"
SIGN_ON_MISSING = "sign_on.missing"
CHECK_MISSING = "daily_check.missing"
CHECK_NO_GO = "daily_check.no_go"
CHECK_WIND = "daily_check.wind"
CHECK_HEAT = "daily_check.heat"
HOLD_POINT = "hold_point"
WORK_STOPPED = "stop_work"
TOOL_TEST = "tool.test"


class Obligation(StrEnum):
    """One column of the compliance table."""

    CERTIFICATE = "certificate"
    COUNCIL = "council"
    OTHER_APPROVALS = "approvals"
    STATEMENT = "statement"
    SIGN_ON = "sign-on"
    DAILY_CHECK = "daily-check"
    HOLD_POINTS = "hold-points"
    TICKETS = "tickets"
    TOOLS = "tools"
    DELIVERY = "delivery"
    OTHER = "other"

    @property
    def heading(self) -> str:
        """The head of its column."""
        return _TITLES[self]

    @property
    def asks(self) -> str:
        """What it asks, in a sentence."""
        return _ASKS[self]


class CellState(StrEnum):
    """Where an obligation of a job stands over a period."""

    MET = "met"
    OPEN = "open"
    BREACHED = "breached"
    NOT_NEEDED = "not-needed"

    @property
    def word(self) -> str:
        """The word on the page."""
        return self.value.replace("-", " ").capitalize()


_TITLES = {
    Obligation.CERTIFICATE: "Engineer's certificate",
    Obligation.COUNCIL: "Council approval",
    Obligation.OTHER_APPROVALS: "Other approvals",
    Obligation.STATEMENT: "Statement issued",
    Obligation.SIGN_ON: "Everyone signed on",
    Obligation.DAILY_CHECK: "Daily check",
    Obligation.HOLD_POINTS: "Hold points passed",
    Obligation.TICKETS: "Tickets valid",
    Obligation.TOOLS: "Tools tested",
    Obligation.DELIVERY: "Deliveries checked in",
    Obligation.OTHER: "Anything else",
}
_ASKS = {
    Obligation.CERTIFICATE: "The engineer's certificate is back before work begins.",
    Obligation.COUNCIL: "The council approval is back before work begins.",
    Obligation.OTHER_APPROVALS: "Other approvals are back before work begins.",
    Obligation.STATEMENT: "A statement that fits the job is issued before work begins.",
    Obligation.SIGN_ON: "Everybody who works has signed on to the version in force.",
    Obligation.DAILY_CHECK: "The hazard check is made before work, each day, and says go.",
    Obligation.HOLD_POINTS: "A hold point is passed before the work that follows it.",
    Obligation.TICKETS: "Somebody in the crew holds each ticket the task asks for.",
    Obligation.TOOLS: "Each kind of tool on a lead has one with a good electrical test.",
    Obligation.DELIVERY: "What a task needs is checked in before the task starts.",
    Obligation.OTHER: "Nothing else stopped the work that went ahead.",
}
# The longest beginning that fits a hold's rule decides.
_RULES: Mapping[str, Obligation] = {
    "approval.engineer": Obligation.CERTIFICATE,
    "approval.council": Obligation.COUNCIL,
    "approval.": Obligation.OTHER_APPROVALS,
    "job.dimensions": Obligation.STATEMENT,
    "statement.": Obligation.STATEMENT,
    "sign_on.": Obligation.SIGN_ON,
    "daily_check.": Obligation.DAILY_CHECK,
    "hold_point.": Obligation.HOLD_POINTS,
    "crew.ticket.": Obligation.TICKETS,
    "tool.test.": Obligation.TOOLS,
    "delivery.": Obligation.DELIVERY,
}
_LONGEST_FIRST = sorted(_RULES, key=len, reverse=True)


def obligation_of(rule: str) -> Obligation:
    """The obligation that a hold speaks of, by its rule."""
    for beginning in _LONGEST_FIRST:
        if rule.startswith(beginning):
            return _RULES[beginning]
    return Obligation.OTHER


@dataclass(frozen=True, slots=True)
class PastHold:
    """A hold that was open at a moment when work went ahead, as it was kept."""

    rule: str
    says: str
    do: str
    basis: str
    stops: tuple[str, ...]
    task_ids: frozenset[int]
    record: tuple[str, int] | None

    @property
    def said_later(self) -> str:
        """The same on a later day: what it says was so on that day and may be over."""
        if self.rule == CHECK_MISSING:
            return "On that day: the hazard check was not done."
        return f"On that day: {self.says}"

    def stopped(self, task_id: int | None) -> bool:
        """Whether it stopped that piece of work: all work, or that task."""
        return "work" in self.stops or (
            task_id is not None and "tasks" in self.stops and task_id in self.task_ids
        )


def past_holds(kept: Iterable[Mapping[str, object]]) -> tuple[PastHold, ...]:
    """Holds again from the plain data of a judged moment."""
    return tuple(_past_hold(row) for row in kept)


def _past_hold(row: Mapping[str, object]) -> PastHold:
    record, stops, tasks = row["record"], row["stops"], row["tasks"]
    assert isinstance(stops, list)
    assert isinstance(tasks, list)
    return PastHold(
        rule=str(row["rule"]),
        says=str(row["says"]),
        do=str(row["do"]),
        basis=str(row["basis"]),
        stops=tuple(stops),
        task_ids=frozenset(tasks),
        record=(record[0], record[1]) if isinstance(record, list) else None,
    )
