"""How the firm rates risk: its matrix and how far it works. The owner decides."""

from datetime import datetime

from django.db import transaction

from jobs.domain.refusals import Refused
from jobs.domain.yaml_lines import LibraryError
from jobs.models import Firm, Person
from jobs.services.firm import edit_firm
from safety.domain.own_matrix import OWN, matrix_text, read_matrix
from safety.domain.risk import Matrix
from safety.library import firm_matrices
from safety.services.rules import keep_rules


@transaction.atomic
def choose_matrix(
    *, matrix: str, tolerance: str, version: int, actor: Person, at: datetime
) -> Firm:
    """Rate with a matrix there is, and work up to one of its grades.

    Counts for every plan from this moment; statements that say something else now are
    out of date.
    """
    known = firm_matrices(Firm.objects.get(pk=1))
    if matrix not in known:
        raise Refused("There is no such matrix. Choose one from the list.")
    if tolerance not in {grade.key for grade in known[matrix].grades}:
        raise Refused("That matrix has no such grade. Choose one from the list.")
    values = {"risk_matrix": matrix, "risk_tolerance": tolerance}
    return _kept(values, version, actor, at)


@transaction.atomic
def draw_matrix(*, matrix: Matrix, version: int, actor: Person, at: datetime) -> Firm:
    """Keep the firm's own matrix, and rate with it. Refused where it falls."""
    text = matrix_text(matrix)
    try:
        read_matrix(text)
    except LibraryError as error:
        raise Refused([fault.says for fault in error.faults]) from error
    values = {
        "risk_own_matrix": text,
        "risk_matrix": OWN,
        "risk_tolerance": matrix.tolerance,
    }
    return _kept(values, version, actor, at)


def _kept(values: dict[str, str], version: int, actor: Person, at: datetime) -> Firm:
    firm = edit_firm(version=version, values=values, actor=actor, at=at)
    keep_rules(firm=firm, actor=actor, at=at)
    return firm
