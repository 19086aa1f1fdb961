"""Licences and competencies of a person."""

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_http_methods

from jobs.domain.roles import Can
from jobs.forms.people import TicketForm
from jobs.library import ticket_kinds
from jobs.permissions import get_person, get_ticket
from jobs.services.people import record_ticket, withdraw_ticket
from jobs.views.pages import PersonRequest, confirm_page, form_page, refusals_in


@require_http_methods(["GET", "POST"])
def ticket_add(request: PersonRequest, pk: int) -> HttpResponse:
    """Record a ticket, with a picture of it when there is one."""
    person = get_person(request.user, pk, to=Can.EDIT_PEOPLE)
    form = TicketForm(request.POST or None, request.FILES or None)
    if form.is_valid():
        typed = form.cleaned_data
        with refusals_in(form):
            record_ticket(
                person=person,
                kind=typed["kind"],
                number=typed["number"],
                issued_on=typed["issued_on"],
                expires_on=typed["expires_on"],
                upload=typed["evidence"],
                actor=request.user,
                at=timezone.now(),
            )
            messages.success(request, f"The ticket of {person.name} is recorded.")
            return redirect("jobs:person_detail", pk)
    crumbs = [
        ("People", reverse("jobs:person_list")),
        (person.name, reverse("jobs:person_detail", args=[pk])),
        ("Add a ticket", ""),
    ]
    return form_page(
        request, form, heading=f"Add a ticket of {person.name}", crumbs=crumbs
    )


@require_http_methods(["GET", "POST"])
def ticket_withdraw(request: PersonRequest, pk: int) -> HttpResponse:
    """Take a ticket out of use."""
    ticket = get_ticket(request.user, pk, to=Can.EDIT_PEOPLE)
    back = reverse("jobs:person_detail", args=[ticket.person_id])
    if request.method == "POST":
        withdraw_ticket(ticket=ticket, actor=request.user, at=timezone.now())
        messages.success(request, "The ticket is out of use. Its record stays.")
        return redirect(back)
    kinds = ticket_kinds()
    name = kinds[ticket.kind].name if ticket.kind in kinds else ticket.kind
    return confirm_page(
        request,
        says=f"Take “{name}” of {ticket.person.name} out of use?",
        then=["It counts for the days before today, and no more from now on."],
        button="Take it out of use",
        back=back,
    )
