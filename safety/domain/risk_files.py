"""Risk matrices and the bounds on controls, read from YAML."""

from collections.abc import Mapping
from dataclasses import dataclass
from itertools import pairwise

from jobs.domain.pack_files import SOURCE_KEYS, parse_source
from jobs.domain.yaml_lines import Fields, Node, gather, keyed, parse_yaml
from safety.domain.hierarchy import Level
from safety.domain.risk import HIGHEST, LOWEST, Effect, Grade, Matrix, RiskMethod


@dataclass(frozen=True, slots=True)
class RiskMethods:
    """Every matrix of the file; ``default`` is the one a new firm starts with."""

    default: str
    by_key: Mapping[str, RiskMethod]

    def chosen(self, key: str = "") -> RiskMethod:
        """The method with that matrix, or the default one; KeyError when unknown."""
        return self.by_key[key or self.default]


def load_risk_methods(text: str, *, filename: str) -> RiskMethods:
    """Matrices and bounds; LibraryError names the file and line of each mistake."""
    fields = parse_yaml(text, filename=filename).fields("default", "bounds", "matrices")
    bounds_fields = fields["bounds"].fields(
        "basis", "levels", "floor_likelihood", optional=(*SOURCE_KEYS, "note")
    )
    levels = bounds_fields["levels"].fields(*Level)
    bounds = {level: parse_effect(levels[level]) for level in Level}
    source = parse_source(bounds_fields)
    floor = bounds_fields.whole("floor_likelihood", at_least=LOWEST)
    matrices = keyed(fields.items("matrices"), parse_matrix)
    default = fields["default"].one_of(matrices, "matrix")
    return RiskMethods(
        default=default,
        by_key={
            key: RiskMethod(matrix, bounds, source, floor)
            for key, matrix in matrices.items()
        },
    )


def parse_effect(node: Node) -> Effect:
    """Steps on each axis: ``{likelihood: 2, consequence: 1}``."""
    fields = node.fields(optional=("likelihood", "consequence"))
    effect = Effect(
        fields.whole("likelihood", at_least=0), fields.whole("consequence", at_least=0)
    )
    if max(effect.likelihood, effect.consequence) >= HIGHEST:
        raise node.fault("an effect is at most 4 steps.")
    return effect


def parse_matrix(node: Node) -> Matrix:
    """One matrix, checked to be whole and to rise along both axes."""
    fields = node.fields(
        "key",
        "name",
        "basis",
        "likelihoods",
        "consequences",
        "grades",
        "cells",
        "tolerance",
        optional=SOURCE_KEYS,
    )
    grades = gather(fields.items("grades"), _parse_grade)
    keys = [grade.key for grade in grades]
    cells = gather(fields.items("cells"), lambda row: _parse_row(row, keys))
    if len(cells) != HIGHEST:
        raise fields["cells"].fault("a matrix has 5 rows, the least likely first.")
    _refuse_falling(fields["cells"], [[keys.index(c) for c in row] for row in cells])
    return Matrix(
        key=fields.text("key"),
        name=fields.text("name"),
        source=parse_source(fields),
        likelihoods=_five_words(fields, "likelihoods"),
        consequences=_five_words(fields, "consequences"),
        grades=grades,
        cells=cells,
        tolerance=fields["tolerance"].one_of(keys, "grade"),
    )


def _parse_grade(node: Node) -> Grade:
    fields = node.fields("key", "name", "means")
    return Grade(fields.text("key"), fields.text("name"), fields.text("means"))


def _parse_row(node: Node, keys: list[str]) -> tuple[str, ...]:
    row = gather(node.items(), lambda cell: cell.one_of(keys, "grade"))
    if len(row) != HIGHEST:
        raise node.fault("a row has 5 grades, the least harm first.")
    return row


def _five_words(fields: Fields, key: str) -> tuple[str, ...]:
    words = gather(fields.items(key), Node.text)
    if len(words) != HIGHEST:
        raise fields[key].fault("give 5 words, the lowest first.")
    return words


def _refuse_falling(node: Node, ranks: list[list[int]]) -> None:
    columns = [list(column) for column in zip(*ranks, strict=True)]
    for run in (*ranks, *columns):
        if any(later < earlier for earlier, later in pairwise(run)):
            raise node.fault("a more likely or worse harm may not get a lower grade.")
