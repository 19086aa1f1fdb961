"""How the firm rates risk. The owner's part."""

from typing import Any

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_http_methods

from jobs.domain.roles import Can
from jobs.permissions import require
from jobs.views.pages import PersonRequest, form_page, refusals_in
from safety.domain.risk import Matrix
from safety.forms.risk_method import ChooseForm, MatrixForm
from safety.library import firm_matrices, firm_matrix
from safety.services.risk_method import choose_matrix, draw_matrix

HEADING = "How we rate risk"


@require_http_methods(["GET", "POST"])
def risk_method(request: PersonRequest) -> HttpResponse:
    """The matrix in use, and the choice of another."""
    require(request.user, Can.EDIT_FIRM)
    firm, used = request.firm, firm_matrix(request.firm)
    form = ChooseForm(
        request.POST or None,
        matrices=firm_matrices(firm),
        initial={"version": firm.version, "method": f"{used.key}/{used.tolerance}"},
    )
    if form.is_valid():
        matrix, tolerance = form.chosen()
        with refusals_in(form):
            choose_matrix(
                matrix=matrix,
                tolerance=tolerance,
                version=form.opened_version(),
                actor=request.user,
                at=timezone.now(),
            )
            messages.success(request, "Saved. Every plan is rated like this from now.")
            return redirect("safety:risk_method")
    shown: dict[str, Any] = {"form": form, "matrix": used, "rows": _rows(used)}
    status = 422 if form.errors else 200
    return render(request, "safety/risk_method.html", shown, status=status)


def _rows(matrix: Matrix) -> list[tuple[str, list[str]]]:
    """The likeliest first: its word, and the name of the grade of each harm."""
    names = {grade.key: grade.name for grade in matrix.grades}
    pairs = zip(matrix.likelihoods, matrix.cells, strict=True)
    return [(word, [names[cell] for cell in row]) for word, row in pairs][::-1]


@require_http_methods(["GET", "POST"])
def risk_matrix(request: PersonRequest) -> HttpResponse:
    """Draw up a matrix of the firm's own, beginning with the one in use."""
    require(request.user, Can.EDIT_FIRM)
    form = MatrixForm(
        request.POST or None,
        shown=firm_matrix(request.firm),
        initial={"version": request.firm.version},
    )
    if form.is_valid():
        with refusals_in(form):
            draw_matrix(
                matrix=form.matrix(),
                version=form.opened_version(),
                actor=request.user,
                at=timezone.now(),
            )
            messages.success(request, "Saved. Every plan is rated with it from now.")
            return redirect("safety:risk_method")
    crumbs = [(HEADING, reverse("safety:risk_method")), ("Our own matrix", "")]
    return form_page(
        request,
        form,
        heading="Our own matrix",
        crumbs=crumbs,
        template="safety/risk_matrix.html",
    )
