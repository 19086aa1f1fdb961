"""Risk rated on a five by five matrix, before and after controls.

No law that this system knows asks for a risk score or for a matrix: ISO 31000 prescribes
none, and the contents that the regulations require of a statement do not include one. A
rating is the firm's method of putting its hazards in order, and pages say so.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from jobs.domain.sources import Source
from safety.domain.hierarchy import Level

LOWEST = 1
HIGHEST = 5


@dataclass(frozen=True, slots=True)
class Effect:
    """Steps by which something lowers likelihood and consequence, each 0 to 4."""

    likelihood: int = 0
    consequence: int = 0

    def plus(self, other: "Effect") -> "Effect":
        """Both together."""
        return Effect(
            self.likelihood + other.likelihood, self.consequence + other.consequence
        )

    def at_most(self, bound: "Effect") -> "Effect":
        """This effect cut back to what ``bound`` allows on each axis."""
        return Effect(
            min(self.likelihood, bound.likelihood),
            min(self.consequence, bound.consequence),
        )


@dataclass(frozen=True, slots=True)
class Rating:
    """One cell of a matrix: likelihood and consequence 1 to 5, and its grade.

    ``rank`` orders the grades of the matrix, 0 the lowest.
    """

    likelihood: int
    consequence: int
    grade: str
    rank: int


@dataclass(frozen=True, slots=True)
class Grade:
    """A grade of a matrix with the words for it."""

    key: str
    name: str
    means: str


@dataclass(frozen=True, slots=True)
class Matrix:
    """A five by five matrix.

    ``cells[likelihood - 1][consequence - 1]`` is a grade key; ``grades`` run from the
    lowest to the highest; above ``tolerance`` a residual rating is a hold.
    """

    key: str
    name: str
    source: Source
    likelihoods: tuple[str, ...]
    consequences: tuple[str, ...]
    grades: tuple[Grade, ...]
    cells: tuple[tuple[str, ...], ...]
    tolerance: str

    def rate(self, likelihood: int, consequence: int) -> Rating:
        """The rating of a likelihood and a consequence; beyond 1 to 5 is cut back."""
        row, column = _bounded(likelihood), _bounded(consequence)
        grade = self.cells[row - 1][column - 1]
        return Rating(row, column, grade, self.rank(grade))

    def rank(self, grade: str) -> int:
        """Place of a grade, 0 the lowest."""
        return [entry.key for entry in self.grades].index(grade)

    def grade(self, rating: Rating) -> Grade:
        """The grade of a rating with its words."""
        return self.grades[rating.rank]

    def tolerates(self, rating: Rating) -> bool:
        """Whether the firm works at this rating without a further decision."""
        return rating.rank <= self.rank(self.tolerance)

    def words(self, rating: Rating) -> str:
        """Likelihood, consequence and grade in words: "unlikely, major: Medium"."""
        likelihood = self.likelihoods[rating.likelihood - 1]
        consequence = self.consequences[rating.consequence - 1]
        return f"{likelihood}, {consequence}: {self.grade(rating).name}"


@dataclass(frozen=True, slots=True)
class RiskMethod:
    """How the firm rates: a matrix, and how much each level of control may claim.

    ``bounds`` limit one control and also all controls of a level together, so that five
    signs do not add up to a guard rail. Likelihood goes down by the levels together, but
    not below ``floor``: a hazard that is still in the plan is not called rare because of
    what was written about it. Consequence goes down only by the level that lowers it
    most: the same harm is not softened twice.
    """

    matrix: Matrix
    bounds: Mapping[Level, Effect]
    bounds_source: Source
    floor: int

    def allowed(self, level: Level, claim: Effect) -> Effect:
        """What a control of that level may claim."""
        return claim.at_most(self.bounds[level])

    def residual(
        self, initial: Rating, claims: Iterable[tuple[Level, Effect]]
    ) -> Rating:
        """The rating left with all the controls in place; never above ``initial``."""
        by_level: dict[Level, Effect] = {}
        for level, claim in claims:
            so_far = by_level.get(level, Effect())
            by_level[level] = self.allowed(level, so_far.plus(claim))
        likelihood = sum(effect.likelihood for effect in by_level.values())
        softened = max((e.consequence for e in by_level.values()), default=0)
        return self.matrix.rate(
            max(initial.likelihood - likelihood, min(initial.likelihood, self.floor)),
            initial.consequence - softened,
        )


def _bounded(step: int) -> int:
    return min(max(step, LOWEST), HIGHEST)
