"""What comes first in the firm's plans."""

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_http_methods

from jobs.domain.roles import Can
from jobs.permissions import require_any
from jobs.queries import local_day
from jobs.views.pages import PersonRequest, form_page, refusals_in
from scheduling.forms.plan_choice import PlanChoiceForm
from scheduling.models import Leaning
from scheduling.queries.plan_choice import goals_in_order, plan_choice, rain_months
from scheduling.services.plan_choice import choose_plan


@require_http_methods(["GET", "POST"])
def plan_choice_edit(request: PersonRequest) -> HttpResponse:
    """Choose what counts most, and how much rain to allow for."""
    require_any(request.user, Can.EDIT_SCHEDULE, Can.EDIT_FIRM)
    now = timezone.now()
    choice = plan_choice()
    months = rain_months(choice, local_day(now, request.firm))
    form = PlanChoiceForm(request.POST or None, instance=choice, months=months)
    if form.is_valid():
        with refusals_in(form, choice):
            choose_plan(
                version=form.opened_version(),
                values=form.values(),
                actor=request.user,
                at=now,
            )
            messages.success(request, "Saved. The next draft is made like this.")
            return redirect("scheduling:plan")
    return form_page(
        request,
        form,
        heading="What comes first in a plan",
        lede="For drafts to come. What is published stays as it is",
        template="scheduling/plan_choice_edit.html",
        orders=[(one.label, goals_in_order(one.value)) for one in Leaning],
        crumbs=[("Plan", reverse("scheduling:plan")), ("What comes first", "")],
    )
