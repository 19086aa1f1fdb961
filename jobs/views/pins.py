"""The PIN to sign with on another's phone: one's own, or one handed out."""

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_http_methods

from jobs.domain.refusals import Refused
from jobs.domain.roles import Can
from jobs.forms.pins import OwnPinForm
from jobs.permissions import get_person, require
from jobs.services.pins import hand_out_pin, set_own_pin
from jobs.views.pages import PersonRequest, confirm_page, form_page, refusals_in


@require_http_methods(["GET", "POST"])
def own_pin(request: PersonRequest) -> HttpResponse:
    """Choose one's own."""
    require(request.user, Can.SIGN_ON)
    form = OwnPinForm(request.POST or None)
    if form.is_valid():
        with refusals_in(form):
            set_own_pin(
                pin=form.cleaned_data["pin"], actor=request.user, at=timezone.now()
            )
            messages.success(request, "Your PIN is kept.")
            return redirect("home")
    return form_page(
        request,
        form,
        heading="My PIN for signing",
        lede="With it you sign on the site lead’s phone when you have none with you.",
        crumbs=[("Today", reverse("home")), ("My PIN", "")],
    )


@never_cache
@require_http_methods(["GET", "POST"])
def pin_hand_out(request: PersonRequest, pk: int) -> HttpResponse:
    """Give somebody a PIN for one use; it is shown this once."""
    person = get_person(request.user, pk, to=Can.EDIT_PEOPLE)
    back = reverse("jobs:person_detail", args=[pk])
    crumbs = [("People", reverse("jobs:person_list")), (person.name, back), ("PIN", "")]
    reasons: tuple[str, ...] = ()
    if request.method == "POST":
        try:
            pin = hand_out_pin(person=person, actor=request.user, at=timezone.now())
        except Refused as refused:
            reasons = tuple(refused.reasons)
        else:
            shown = {"person": person, "pin": pin, "back": back, "crumbs": crumbs}
            return render(request, "jobs/pin_handed_out.html", shown)
    return confirm_page(
        request,
        heading="Give a PIN",
        says=f"Give {person.name} a new PIN to sign with on the site lead’s phone?",
        then=[
            "It is shown once. Tell it to them and to nobody else.",
            "It counts once: they choose their own when they sign with it.",
            "A PIN they had before no longer counts.",
        ],
        button="Give a PIN",
        button_class="btn-primary",
        back=back,
        reasons=reasons,
        crumbs=crumbs,
    )
