"""People of the firm, their roles and their tickets."""

from django.contrib import messages
from django.contrib.auth.forms import PasswordResetForm
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import (
    require_http_methods,
    require_POST,
    require_safe,
)

from jobs.domain.roles import Can
from jobs.forms.accounts import NewPasswordForm
from jobs.forms.people import NewPersonForm, PeopleFilter, PersonForm, RolesForm
from jobs.models import Person
from jobs.permissions import get_person, require, visible_people
from jobs.queries import local_day
from jobs.queries.people import people_on, roles_in_words, tickets_on
from jobs.services.people import add_person, edit_person, set_roles
from jobs.views.accounts import about_link
from jobs.views.pages import (
    Crumbs,
    PersonRequest,
    form_page,
    page_of,
    refusals_in,
)


def _crumbs(person: Person | None = None, last: str = "") -> Crumbs:
    crumbs = [("People", reverse("jobs:person_list"))]
    if person is not None:
        here = reverse("jobs:person_detail", args=[person.pk]) if last else ""
        crumbs.append((person.name, here))
    return [*crumbs, (last, "")] if last else crumbs


@require_safe
def person_list(request: PersonRequest) -> HttpResponse:
    """Everybody, those with a ticket to renew first."""
    require(request.user, Can.EDIT_PEOPLE)
    filters = PeopleFilter(request.GET or None)
    asked = filters.cleaned_data if filters.is_valid() else {}
    today = local_day(timezone.now(), request.firm)
    views = people_on(
        today,
        visible_people(request.user),
        q=asked.get("q", ""),
        role=asked.get("role", ""),
    )
    page = page_of(request, views)
    shown = {"filters": filters, "page": page, "today": today}
    return render(request, "jobs/person_list.html", shown)


@require_safe
def person_detail(request: PersonRequest, pk: int) -> HttpResponse:
    """One person with their tickets."""
    return _person_page(request, get_person(request.user, pk))


@require_safe
def me(request: PersonRequest) -> HttpResponse:
    """What the firm keeps about the person who looks."""
    return _person_page(request, request.user, own=True)


def _person_page(
    request: PersonRequest, person: Person, *, own: bool = False
) -> HttpResponse:
    today = local_day(timezone.now(), request.firm)
    tickets = person.tickets.select_related("evidence")
    shown = {
        "person": person,
        "roles": roles_in_words(person),
        "signs": person.can(Can.SIGN_ON),
        "tickets": tickets_on(today, tickets.filter(withdrawn_at__isnull=True)),
        "withdrawn": tickets_on(today, tickets.filter(withdrawn_at__isnull=False)),
        "own": own,
        "crumbs": None if own else _crumbs(person),
    }
    return render(request, "jobs/person_detail.html", shown)


@require_http_methods(["GET", "POST"])
def person_add(request: PersonRequest) -> HttpResponse:
    """Add someone, and send them a link to set a password."""
    require(request.user, Can.EDIT_PEOPLE)
    form = NewPersonForm(request.POST or None, actor=request.user)
    if form.is_valid():
        typed = form.cleaned_data
        with refusals_in(form):
            person = add_person(
                name=typed["name"],
                email=typed["email"],
                phone=typed["phone"],
                joined_on=typed["joined_on"],
                roles=typed["roles"],
                actor=request.user,
                at=timezone.now(),
            )
            invited = bool(typed["invite"]) and _send_link(request, person)
            also = " A link to set a password is on its way." if invited else ""
            messages.success(request, f"{person.name} is added.{also}")
            return redirect("jobs:person_detail", person.pk)
    heading = "Add someone"
    return form_page(request, form, heading=heading, crumbs=_crumbs(last=heading))


@require_http_methods(["GET", "POST"])
def person_edit(request: PersonRequest, pk: int) -> HttpResponse:
    """Change someone's details."""
    person = get_person(request.user, pk, to=Can.EDIT_PEOPLE)
    crumbs = _crumbs(person, "Change")
    form = PersonForm(request.POST or None, instance=person)
    if form.is_valid():
        with refusals_in(form, person):
            edit_person(
                person=person,
                version=form.opened_version(),
                values=form.values(),
                actor=request.user,
                at=timezone.now(),
            )
            messages.success(request, "Saved.")
            return redirect("jobs:person_detail", pk)
    return form_page(request, form, heading="Change details", crumbs=crumbs)


@require_http_methods(["GET", "POST"])
def person_roles(request: PersonRequest, pk: int) -> HttpResponse:
    """Say what someone does in the firm. The owner's part."""
    person = get_person(request.user, pk, to=Can.EDIT_ROLES)
    initial = {"roles": [str(role) for role in person.roles], "version": person.version}
    form = RolesForm(request.POST or None, initial=initial)
    if form.is_valid():
        with refusals_in(form, person):
            set_roles(
                person=person,
                version=form.cleaned_data["version"],
                roles=form.cleaned_data["roles"],
                actor=request.user,
                at=timezone.now(),
            )
            messages.success(request, f"{person.name}’s roles are saved.")
            return redirect("jobs:person_detail", pk)
    heading = f"What {person.name} does"
    return form_page(request, form, heading=heading, crumbs=_crumbs(person, "Roles"))


@require_POST
def person_invite(request: PersonRequest, pk: int) -> HttpResponse:
    """Send someone a link to set a password."""
    person = get_person(request.user, pk, to=Can.EDIT_PEOPLE)
    if person.is_active and _send_link(request, person):
        says = f"A link to set a password is on its way to {person.email}."
        messages.success(request, says)
    else:
        messages.error(request, "No link was sent. Give them an email first.")
    return redirect("jobs:person_detail", pk)


def _send_link(request: PersonRequest, person: Person) -> bool:
    """Whether there was somewhere to send it."""
    if not person.email:
        return False
    form: PasswordResetForm = NewPasswordForm({"email": person.email})
    if form.is_valid():
        form.save(
            request=request,
            use_https=request.is_secure(),
            email_template_name="registration/invitation_email.html",
            subject_template_name="registration/invitation_subject.txt",
            extra_email_context=about_link(request) | {"sender": request.user},
        )
    return form.is_valid()
