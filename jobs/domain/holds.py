"""A hold: a condition that must be true before work may go ahead, and is not."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, datetime
from enum import StrEnum

from jobs.domain.roles import Role


class Stops(StrEnum):
    """What a hold stops."""

    BOOKING = "booking"  # a firm booking; the job may still be pencilled in
    WORK = "work"  # any work on site
    TASKS = "tasks"  # the tasks named, and those that follow them
    HANDOVER = "handover"


class Basis(StrEnum):
    """Why a hold exists. Four labels, never blurred."""

    LAW = "law"
    CODE = "code of practice"
    PRACTICE = "common practice"
    FIRM = "firm's decision"


@dataclass(frozen=True, slots=True)
class Hold:
    """One thing in the way of one job at one moment.

    ``record`` names the row behind it ("jobs.approval", 12) so that a page can link to
    it, or a part of that row's page ("jobs.job#dimensions", 7); ``forecast`` is the day it is expected to clear, None when nobody can say.
    """

    rule: str  # dotted name, stable: "approval.engineer"
    job_id: int
    says: str
    stops: frozenset[Stops]
    cleared_by: frozenset[Role]
    clear_by_doing: str
    basis: Basis
    since: date | datetime | None = None
    forecast: date | None = None
    task_ids: frozenset[int] = frozenset()
    record: tuple[str, int] | None = None

    def stops_work(self) -> bool:
        """Whether nobody may work on the job at all while it is open."""
        return Stops.WORK in self.stops


def release_date(holds: Iterable[Hold]) -> date | None:
    """The day by which all work-stopping holds are forecast to have cleared.

    None when nothing stops work. A hold with no forecast gives ``date.max``: the
    schedule may only pencil such a job in.
    """
    days = [hold.forecast or date.max for hold in holds if hold.stops_work()]
    return max(days, default=None)
