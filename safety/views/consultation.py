"""Note who was asked about a statement."""

from django.contrib import messages
from django.http import HttpResponse
from django.utils import timezone
from django.views.decorators.http import require_http_methods

from jobs.queries.firm import local_day
from jobs.views.pages import PersonRequest, form_page, gone_to, refusals_in
from safety.forms.consultation import ConsultationForm
from safety.permissions import get_statement_to_consult
from safety.services.consultation import note_consultation
from safety.views.statements import statement_crumbs


@require_http_methods(["GET", "POST"])
def consultation_add(request: PersonRequest, pk: int) -> HttpResponse:
    """One more talk about a version."""
    statement, at = get_statement_to_consult(request.user, pk), timezone.now()
    today = local_day(at, request.firm)
    form = ConsultationForm(request.POST or None, initial={"held_on": today})
    if form.is_valid():
        typed = form.cleaned_data
        with refusals_in(form):
            note_consultation(
                statement=statement,
                held_on=typed["held_on"],
                who=typed["who"],
                said=typed["said"],
                came_of_it=typed["came_of_it"],
                actor=request.user,
                at=at,
                client_uid=form.uid(),
            )
            messages.success(request, "Kept with the statement.")
            return gone_to(request, "safety:statement_detail", pk)
    return form_page(
        request,
        form,
        template="safety/consultation_add.html",
        heading="Who was asked about it",
        job=statement.job,
        statement=statement,
        crumbs=statement_crumbs(statement, "Who was asked"),
    )
