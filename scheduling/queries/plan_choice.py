"""What the firm has decided about its plans."""

from collections import defaultdict
from dataclasses import dataclass
from datetime import date

from scheduling.domain import policy
from scheduling.domain.calendar import MONTH_NAMES
from scheduling.models import Leaning, PlanChoice
from scheduling.queries.lost_days import lost_shares

LEANINGS = {
    Leaning.DATES: policy.Leaning.DATES,
    Leaning.CALM: policy.Leaning.CALM,
    Leaning.NEAR: policy.Leaning.NEAR,
}
GOALS = {
    policy.Term.UNPLACED: "every job has a place",
    policy.Term.PROMISED: "promised dates",
    policy.Term.WANTED: "wanted dates",
    policy.Term.CHANGES: "few changes to the published plan",
    policy.Term.TRAVEL: "short drives",
    policy.Term.IDLE: "no idle half-days",
}


def plan_choice() -> PlanChoice:
    """The firm's choice, the usual one before anybody chose. One query."""
    return PlanChoice.objects.filter(pk=1).first() or PlanChoice(pk=1)


def policy_for(leaning: str) -> policy.Policy:
    """The engine's order of goals for a choice."""
    return policy.Policy.leaning(LEANINGS[Leaning(leaning)])


def goals_in_order(leaning: str) -> list[str]:
    """The goals in the order in which they count, in words."""
    levels = policy_for(leaning).levels
    return [GOALS[term] for level in levels for term, _ in level]


@dataclass(frozen=True, slots=True)
class RainMonth:
    """The firm's allowance for a month beside the days it really lost."""

    name: str
    percent: int
    lost: float  # days; one called off for some jobs counts for its share


def rain_months(choice: PlanChoice, today: date) -> list[RainMonth]:
    """January first, with days called off in the twelve months before. Two queries."""
    since = today.replace(year=today.year - 1, day=1)
    lost: dict[int, float] = defaultdict(float)
    for day, share in lost_shares(since, today).items():
        lost[day.month] += share
    return [
        RainMonth(name, percent, lost[month])
        for month, (name, percent) in enumerate(
            zip(MONTH_NAMES, choice.rain, strict=True), start=1
        )
    ]
