"""The hazard plan of one job: what the engine makes and what people then review."""

from dataclasses import dataclass
from datetime import date
from enum import StrEnum

from jobs.domain.holds import Basis
from jobs.domain.roles import Role
from jobs.domain.sources import Source
from safety.domain.hierarchy import Level
from safety.domain.risk import Effect, Rating
from safety.domain.traces import Trace

WHOLE_JOB = ""  # task key of a line that belongs to no single task


class When(StrEnum):
    """When a control is put in place or checked."""

    BEFORE_JOB = "before the job starts"
    DAY_START = "each morning before work"
    TASK_START = "before this step starts"
    DURING = "all through this step"
    TASK_END = "when this step is done"


@dataclass(frozen=True, slots=True)
class PlanControl:
    """One control of a line, as it will be printed.

    ``effect`` is the claim after it was bounded by the control's level; ``ask`` is the
    question of the daily check, empty when the control asks none. ``counts`` is the text
    as it counts for a signature, empty when it counts as it stands.
    """

    key: str
    text: str
    level: Level
    effect: Effect
    who: Role
    when: When
    check: str
    ask: str
    source: Source
    counts: str = ""


@dataclass(frozen=True, slots=True)
class Counted:
    """The words of a line as they count for a signature, see ``bands``."""

    name: str
    reasons: tuple[str, ...]
    raised: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Change:
    """What a reviewer changed on a line, and why. The reason prints."""

    what: str
    reason: str
    by: str = ""


@dataclass(frozen=True, slots=True)
class PlanLine:
    """One hazard of one task of one job.

    ``key`` is "task/hazard" and stays the same from plan to plan. ``reasons`` are
    sentences filled from the facts that matched; ``unknowns`` name facts nobody has found
    out yet. ``counted`` is None where the words count as they stand.
    """

    key: str
    task_key: str
    task_name: str
    position: int
    hazard: str
    theme: str
    name: str
    harm: str
    reasons: tuple[str, ...]
    unknowns: tuple[str, ...]
    raised: tuple[str, ...]  # why the initial rating is above the library's
    initial: Rating
    controls: tuple[PlanControl, ...]
    residual: Rating
    source: Source
    trace: Trace
    categories: tuple[str, ...] = ()  # keys of high risk work categories
    no_higher_control: str = ""  # written reason when nothing stands above PPE
    changes: tuple[Change, ...] = ()
    counted: Counted | None = None

    @property
    def why(self) -> str:
        """Why it is here, in one piece."""
        return " ".join(self.reasons)

    @property
    def counts(self) -> Counted:
        """Its words as they count for a signature."""
        return self.counted or Counted(self.name, self.reasons, self.raised)

    @property
    def who(self) -> Role:
        """Who answers for the line: the one who puts in its strongest control."""
        return self.controls[0].who if self.controls else Role.SITE_LEAD

    @property
    def basis(self) -> Basis:
        """The label of the rule that asks for this line."""
        return self.source.basis


@dataclass(frozen=True, slots=True)
class RemovedLine:
    """A line that a reviewer took out. It is shown, with the reason."""

    line: PlanLine
    reason: str
    by: str = ""


@dataclass(frozen=True, slots=True)
class Category:
    """A category of high risk construction work that this job falls in."""

    key: str
    says: str
    tasks: tuple[str, ...]  # task keys it applies to
    why: tuple[str, ...]
    source: Source
    needs_reading: str = ""  # what a person must still decide
    topics: frozenset[str] = frozenset()  # words its hazards are filed under
    undecided: bool = False  # a person decides, or a fact must be found out first


@dataclass(frozen=True, slots=True)
class StatementDuty:
    """Whether a statement is asked by law, or made by the firm's own choice."""

    by_law: bool
    document: str  # the document's own name in this place
    says: str
    source: Source


@dataclass(frozen=True, slots=True)
class HazardPlan:
    """Every hazard of a job on one day's law, in the order of the work."""

    pack: str
    pack_name: str
    on: date
    matrix: str
    lines: tuple[PlanLine, ...]
    categories: tuple[Category, ...]
    duty: StatementDuty
    task_keys: tuple[str, ...]
    removed: tuple[RemovedLine, ...] = ()

    def line(self, key: str) -> PlanLine:
        """The line with that key; KeyError when there is none."""
        for line in self.lines:
            if line.key == key:
                return line
        raise KeyError(key)

    def lines_of(self, task_key: str) -> tuple[PlanLine, ...]:
        """The lines of one task, or of the whole job for WHOLE_JOB."""
        return tuple(line for line in self.lines if line.task_key == task_key)

    def uncovered_tasks(self) -> tuple[str, ...]:
        """Tasks without a line of their own. A plan with any is not fit to issue."""
        covered = {line.task_key for line in self.lines}
        return tuple(key for key in self.task_keys if key not in covered)

    def unknowns(self) -> tuple[str, ...]:
        """Facts that nobody has found out yet and that some line rests on."""
        return tuple(sorted({fact for line in self.lines for fact in line.unknowns}))
