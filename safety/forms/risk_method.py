"""How the firm rates risk: which matrix, how far it works, and a matrix of its own."""

from collections.abc import Mapping
from typing import Any

from crispy_forms.helper import FormHelper
from django import forms

from jobs.domain.holds import Basis
from jobs.domain.sources import Source
from jobs.forms.fields import PlainForm, panel_helper
from safety.domain.own_matrix import OWN
from safety.domain.risk import HIGHEST, LOWEST, Grade, Matrix

STEPS = range(LOWEST, HIGHEST + 1)
_FEWEST_GRADES = 2


class _OpenedForm(PlainForm):
    """Carries the version of the firm's settings that the person saw."""

    version = forms.IntegerField(widget=forms.HiddenInput)

    def opened_version(self) -> int:
        """The version the person saw."""
        version: int = self.cleaned_data["version"]
        return version


class ChooseForm(_OpenedForm):
    """A matrix there is, and the grade up to which the firm works."""

    method = forms.ChoiceField(label="Rate with", widget=forms.RadioSelect)

    def __init__(
        self, *args: Any, matrices: Mapping[str, Matrix], **kwargs: Any
    ) -> None:
        super().__init__(*args, **kwargs)
        self.fields["method"].choices = [  # type: ignore[attr-defined]
            (matrix.name, [(f"{key}/{g.key}", _up_to(g)) for g in matrix.grades])
            for key, matrix in matrices.items()
        ]

    def chosen(self) -> tuple[str, str]:
        """Key of the matrix, key of the grade."""
        matrix, _, grade = self.cleaned_data["method"].partition("/")
        return matrix, grade

    @property
    def helper(self) -> FormHelper:
        """One button."""
        return panel_helper("method", save="Rate like this")


def _up_to(grade: Grade) -> str:
    return f"work goes on up to “{grade.name}”, anything above it is held"


class MatrixForm(_OpenedForm):
    """The firm's own matrix: words of both axes, two to five grades, 25 cells."""

    name = forms.CharField(label="Name", max_length=80)
    tolerance = forms.TypedChoiceField(label="Work goes on up to", coerce=int)

    def __init__(self, *args: Any, shown: Matrix, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        names = [grade.name for grade in shown.grades]
        grades = [
            (n, f"{n}. {names[n - 1]}" if n <= len(names) else f"{n}.") for n in STEPS
        ]
        for n in STEPS:
            self.fields[f"likelihood_{n}"] = _words(f"Likelihood {n}", attrs=_BARE)
            self.fields[f"consequence_{n}"] = _words(f"Harm {n}", attrs=_BARE)
            must = n <= _FEWEST_GRADES
            self.fields[f"grade_{n}"] = _words(f"Grade {n}", required=must)
            self.fields[f"means_{n}"] = forms.CharField(
                label="What it means", max_length=120, required=must
            )
        for row in STEPS:
            for column in STEPS:
                self.fields[f"cell_{row}_{column}"] = _cell(row, column, grades)
        self.fields["tolerance"].choices = grades  # type: ignore[attr-defined]
        self.initial = {**_typed(shown), **self.initial}

    def rows(self) -> list[tuple[Any, list[Any]]]:
        """The likeliest first: its word, and a choice for each harm."""
        return [
            (self[f"likelihood_{row}"], [self[f"cell_{row}_{c}"] for c in STEPS])
            for row in reversed(STEPS)
        ]

    def harms(self) -> list[Any]:
        """The words of the columns."""
        return [self[f"consequence_{n}"] for n in STEPS]

    def grades(self) -> list[tuple[Any, Any]]:
        """Each grade with what it means, the lowest first."""
        return [(self[f"grade_{n}"], self[f"means_{n}"]) for n in STEPS]

    def clean(self) -> dict[str, Any]:
        """Grades have no gap, and nothing has a grade without a name."""
        typed = super().clean() or self.cleaned_data
        named = [n for n in STEPS if typed.get(f"grade_{n}")]
        if named != [*STEPS][: len(named)]:
            self.add_error(None, "Name the grades one after the other, without a gap.")
        for name, value in list(typed.items()):
            used = name == "tolerance" or name.startswith("cell_")
            if used and value and value not in named:
                self.add_error(name, f"Grade {value} has no name. Choose another.")
        return typed

    def matrix(self) -> Matrix:
        """What was drawn up."""
        typed = self.cleaned_data
        return Matrix(
            key=OWN,
            name=typed["name"],
            source=Source(basis=Basis.FIRM),
            likelihoods=tuple(typed[f"likelihood_{n}"] for n in STEPS),
            consequences=tuple(typed[f"consequence_{n}"] for n in STEPS),
            grades=tuple(
                Grade(f"G{n}", typed[f"grade_{n}"], typed[f"means_{n}"])
                for n in STEPS
                if typed[f"grade_{n}"]
            ),
            cells=tuple(
                tuple(f"G{typed[f'cell_{row}_{column}']}" for column in STEPS)
                for row in STEPS
            ),
            tolerance=f"G{typed['tolerance']}",
        )


_BARE = {"class": "input", "size": "12"}  # fields that stand in the table by themselves


def _words(
    label: str, *, required: bool = True, attrs: dict[str, str] | None = None
) -> forms.CharField:
    widget = forms.TextInput(attrs=attrs)
    return forms.CharField(label=label, max_length=30, required=required, widget=widget)


def _cell(row: int, column: int, grades: list[tuple[int, str]]) -> forms.Field:
    return forms.TypedChoiceField(
        label=f"Likelihood {row}, harm {column}",
        choices=grades,
        coerce=int,
        widget=forms.Select(attrs={"class": "input"}),
    )


def _typed(matrix: Matrix) -> dict[str, Any]:
    """A matrix as the form shows it."""
    rows = enumerate(matrix.cells, start=1)
    return {
        "name": matrix.name if matrix.key == OWN else "The firm's own matrix",
        "tolerance": matrix.rank(matrix.tolerance) + 1,
        **{f"likelihood_{n}": word for n, word in enumerate(matrix.likelihoods, 1)},
        **{f"consequence_{n}": word for n, word in enumerate(matrix.consequences, 1)},
        **{f"grade_{n}": grade.name for n, grade in enumerate(matrix.grades, 1)},
        **{f"means_{n}": grade.means for n, grade in enumerate(matrix.grades, 1)},
        **{
            f"cell_{row}_{column}": matrix.rank(grade) + 1
            for row, cells in rows
            for column, grade in enumerate(cells, start=1)
        },
    }
