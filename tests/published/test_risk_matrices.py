"""The two shipped matrices, cell by cell, against their published texts."""

from collections import Counter
from itertools import product

import pytest

from tests.safety.domain.rules import risk_methods

STEPS = range(1, 6)

# AS/NZS 4360:1999 Table E3 form; read at http://miningandsustainability.com/risk-
# assessment-matrix/ (that it is 4360 is remembered). Rows A almost certain to E rare,
# columns insignificant to catastrophic.
AS4360 = {"A": "HHEEE", "B": "MHHEE", "C": "LMHEE", "D": "LLMHE", "E": "LLMHH"}

# Australian training institute text; read, secondary copy. The same rows and columns.
TRAINING = {
    "A": ["M", "H", "H", "VH", "VH"],
    "B": ["L", "M", "H", "H", "VH"],
    "C": ["L", "M", "M", "H", "H"],
    "D": ["L", "L", "M", "M", "M"],
    "E": ["L", "L", "L", "M", "M"],
}


def cells(key):
    matrix = risk_methods().chosen(key).matrix
    return {
        (row, column): matrix.rate(row, column).grade
        for row, column in product(STEPS, STEPS)
    }


def printed(table):
    rows = {"A": 5, "B": 4, "C": 3, "D": 2, "E": 1}
    return {
        (rows[letter], column): grade
        for letter, grades in table.items()
        for column, grade in enumerate(grades, start=1)
    }


@pytest.mark.parametrize(
    ("key", "table", "counts"),
    [
        ("as4360_1999", AS4360, {"E": 8, "H": 8, "M": 4, "L": 5}),
        ("training_5x5", TRAINING, {"VH": 3, "H": 6, "M": 9, "L": 7}),
    ],
)
def test_every_cell_is_as_printed(key, table, counts):
    assert cells(key) == printed(table)
    assert Counter(cells(key).values()) == counts


@pytest.mark.parametrize("key", ["as4360_1999", "training_5x5"])
def test_a_matrix_rises_along_both_axes(key):
    matrix = risk_methods().chosen(key).matrix
    for row, column in product(range(1, 5), STEPS):
        assert matrix.rate(row, column).rank <= matrix.rate(row + 1, column).rank
        assert matrix.rate(column, row).rank <= matrix.rate(column, row + 1).rank


def test_a_matrix_is_not_likelihood_times_consequence():
    # 1 x 4 is High although 3 x 1 is Low and 5 x 1 is High; computed from the text above
    matrix = risk_methods().chosen("as4360_1999").matrix
    assert matrix.rate(1, 4).grade == "H"
    assert matrix.rate(3, 1).grade == "L"
    assert matrix.rate(5, 1).grade == "H"
