"""A firm's own risk matrix: drawn up in the browser, kept as text, read like a shipped one."""

import json

from jobs.domain.holds import Basis
from jobs.domain.yaml_lines import parse_yaml
from safety.domain.risk import Matrix
from safety.domain.risk_files import parse_matrix

OWN = "own"  # key of the firm's own matrix


def matrix_text(matrix: Matrix) -> str:
    """A matrix as JSON, which is YAML too. ``read_matrix`` turns it back.

    Its source is the firm's decision, whatever it was before.
    """
    plain = {
        "key": OWN,
        "name": matrix.name,
        "basis": Basis.FIRM.value,
        "likelihoods": [*matrix.likelihoods],
        "consequences": [*matrix.consequences],
        "grades": [
            {"key": grade.key, "name": grade.name, "means": grade.means}
            for grade in matrix.grades
        ],
        "cells": [[*row] for row in matrix.cells],
        "tolerance": matrix.tolerance,
    }
    return json.dumps(plain, ensure_ascii=False, indent=1)


def read_matrix(text: str) -> Matrix:
    """The matrix of a text; LibraryError where it is not whole or falls."""
    return parse_matrix(parse_yaml(text, filename="own matrix"))
