"""Bookings of the published plan that no longer keep the rules: what went wrong since."""

from dataclasses import dataclass
from datetime import datetime

from jobs.models import Firm
from scheduling.domain.compiled import NOBODY
from scheduling.domain.explain import Explainer
from scheduling.domain.solution import Booking
from scheduling.models import Visit
from scheduling.queries.standing_plan import StandingPlan, standing_plan


@dataclass(frozen=True, slots=True)
class Unfit:
    """A booking that could not be made like this now, and why, in words."""

    visit: Visit
    crew: str
    booking: Booking
    reasons: tuple[str, ...]


def unfit_bookings(firm: Firm, at: datetime) -> list[Unfit]:
    """By day. The engine's rules, each booking asked on its own; no solver.

    A visit on site now is left out: it goes on where it is. The queries of loading the
    problem of all open jobs.
    """
    plan = standing_plan(None, firm, at)
    explainer = Explainer(plan.problem, plan.bookings)
    placed = sorted(plan.bookings, key=lambda row: (row.start, row.visit))
    numbers = {one.key: index for index, one in enumerate(explainer.book.records)}
    found = (_judged(explainer, plan, row, numbers[row.visit]) for row in placed)
    return [one for one in found if one.reasons]


def _judged(
    explainer: Explainer, plan: StandingPlan, row: Booking, visit: int
) -> Unfit:
    book = explainer.book
    spot = book.spots.get(visit)
    reasons: tuple[str, ...] = ()
    if spot is not None and spot[1] != NOBODY and row.visit not in plan.begun:
        rules = book.refusals(visit, spot[1], spot[2])
        reasons = tuple(dict.fromkeys(rule.words(spot[2]) for rule in rules))
    names = {crew.key: crew.name for crew in plan.problem.crews}
    crew = "" if row.crew is None else names[row.crew]
    return Unfit(plan.visits[row.visit], crew, row, reasons)
