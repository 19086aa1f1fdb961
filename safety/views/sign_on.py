"""Read a statement and sign on to it: on one's own phone, or on the lead's."""

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.utils import timezone
from django.utils.http import url_has_allowed_host_and_scheme
from django.views.decorators.http import require_http_methods

from jobs.domain.roles import Can
from jobs.models import Person, SitePin
from jobs.views.pages import PersonRequest, gone_to, refusals_in
from safety.domain.worst import worst_of
from safety.forms.on_site import SignForm
from safety.models import Statement
from safety.permissions import get_signer, get_statement, require_lead
from safety.queries.staleness import out_of_date
from safety.queries.statements import sign_ons_of, version_before
from safety.services.sign_on import read_strokes, sign_on
from safety.views.statements import statement_crumbs


@require_http_methods(["GET", "POST"])
def sign_on_own(request: PersonRequest, pk: int) -> HttpResponse:
    """Sign on with one's own login."""
    statement = get_statement(request.user, pk, to=Can.SIGN_ON)
    return _sign(request, statement, request.user)


@require_http_methods(["GET", "POST"])
def sign_on_for(request: PersonRequest, pk: int, person_pk: int) -> HttpResponse:
    """Sign somebody on who stands beside the lead; the lead is the witness."""
    statement = get_statement(request.user, pk, to=Can.SIGN_ON)
    require_lead(request.user, statement.job)
    person = get_signer(statement, person_pk)
    return _sign(request, statement, person)


def _sign(request: PersonRequest, statement: Statement, person: Person) -> HttpResponse:
    own, at = person.pk == request.user.pk, timezone.now()
    kept = None if own else SitePin.objects.filter(person=person).first()
    form = SignForm(request.POST or None, kept=kept)
    if form.is_valid():
        with refusals_in(form):
            sign_on(
                statement=statement,
                person=person,
                typed_name=form.cleaned_data["signature_name"],
                strokes=read_strokes(form.cleaned_data["signature_strokes"]),
                **form.pins(),
                actor=request.user,
                at=at,
                device_at=form.first_sent_at(at),
                client_uid=form.uid(),
            )
            says = f"{person.name} signed on to version {statement.number}."
            messages.success(request, says)
            return gone_to(request, _back(request, statement))
    before = version_before(statement)
    in_force = statement.state == Statement.State.ISSUED
    stale = out_of_date({statement.job_id: statement}, at, request.firm)
    shown = {
        "statement": statement,
        "job": statement.job,
        "content": statement.content,
        "worst": worst_of(statement.content),
        "person": person,
        "own": own,
        "by_pin": kept is not None,
        "form": form,
        "reasons": [error for errors in form.errors.values() for error in errors],
        "before": before,
        "changed": stale.get(statement.job_id) if in_force else None,
        "already": any(row.person_id == person.pk for row in sign_ons_of(statement)),
        "back": _back(request, statement),
        "crumbs": statement_crumbs(statement, "Sign on"),
    }
    status = 422 if form.is_bound else 200
    return render(request, "safety/sign_on.html", shown, status=status)


def _back(request: PersonRequest, statement: Statement) -> str:
    """The page the person came from, when it is one of ours."""
    asked = request.GET.get("back", "")
    if url_has_allowed_host_and_scheme(asked, allowed_hosts=None):
        return asked
    return reverse("safety:statement_detail", args=[statement.pk])
