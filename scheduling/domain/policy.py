"""What a good plan is: the order in which goals count."""

from dataclasses import dataclass
from enum import StrEnum


class Term(StrEnum):
    """A goal with its unit; less is better for every one of them."""

    UNPLACED = "jobs that could not be placed"  # jobs
    PROMISED = "lateness against promised dates"  # weight × working half-days
    WANTED = "lateness against wanted dates"  # weight × working half-days
    CHANGES = "changes to the published plan"  # points, dearer the nearer the day
    TRAVEL = "travel"  # minutes
    IDLE = "half-days a crew waits between bookings"


Level = tuple[tuple[Term, int], ...]
FIRST_LEVEL: Level = ((Term.UNPLACED, 1),)
# Where a published plan is mended goals are weighed: for a promise kept to the half-day
# nobody wants half the firm told anew. A point of change, and a visit in the next week
# has four, is worth five half-days behind a promise. The firm's decision, no source;
# measured on bad Mondays of 200 jobs against pushing everything right.
MENDING: Level = (
    (Term.PROMISED, 100),
    (Term.WANTED, 20),
    (Term.CHANGES, 500),
    (Term.TRAVEL, 1),
)


class Leaning(StrEnum):
    """The firm's say, three choices in words. Hard rules and promises stand above all."""

    DATES = "Finish on the wanted dates, even if the plan changes"
    CALM = "Leave the published plan alone where promises allow"
    NEAR = "Drive less before chasing wanted dates"


@dataclass(frozen=True, slots=True)
class Policy:
    """Goals in falling order of importance.

    A level is compared only when all levels before it are equal; inside a level the
    terms are added with their prices. The first level is ``FIRST_LEVEL``: a plan that
    leaves a job out is never better than one that does not.
    """

    levels: tuple[Level, ...]

    def __post_init__(self) -> None:
        if not self.levels or self.levels[0] != FIRST_LEVEL:
            raise ValueError("placing every job stands above all other goals")

    @classmethod
    def leaning(cls, choice: Leaning) -> "Policy":
        """The documented order of goals for one of the three choices."""
        middle = {
            Leaning.DATES: (Term.WANTED, Term.CHANGES, Term.TRAVEL),
            Leaning.CALM: (Term.CHANGES, Term.WANTED, Term.TRAVEL),
            Leaning.NEAR: (Term.TRAVEL, Term.WANTED, Term.CHANGES),
        }[choice]
        order = (Term.PROMISED, *middle, Term.IDLE)
        return cls((FIRST_LEVEL, *(((term, 1),) for term in order)))

    @classmethod
    def mending(cls) -> "Policy":
        """What counts when something has gone wrong with a published plan."""
        return cls((FIRST_LEVEL, MENDING, ((Term.IDLE, 1),)))


DEFAULT_POLICY = Policy.leaning(Leaning.DATES)
