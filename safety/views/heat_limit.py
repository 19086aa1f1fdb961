"""When heat stops work. The owner's part."""

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_http_methods

from jobs.domain.roles import Can
from jobs.permissions import require
from jobs.views.pages import PersonRequest, refusals_in
from safety.domain.heat_limit import HeatDay, rests_words
from safety.forms.heat_limit import HeatLimitForm
from safety.queries.heat import limit_now
from safety.services.heat_limit import set_heat_limit

# Days to look at before choosing, in degC and percent: common practice, no source.
EXAMPLES = (HeatDay(30, 40), HeatDay(33, 40), HeatDay(36, 30), HeatDay(40, 20))


@require_http_methods(["GET", "POST"])
def heat_limit(request: PersonRequest) -> HttpResponse:
    """The limit in force, and the choice of another."""
    require(request.user, Can.EDIT_FIRM)
    limit = limit_now(request.firm)
    form = HeatLimitForm(
        request.POST or None, shown=limit, initial={"version": request.firm.version}
    )
    if form.is_valid():
        with refusals_in(form):
            set_heat_limit(
                limit=form.limit(),
                version=form.opened_version(),
                actor=request.user,
                at=timezone.now(),
            )
            messages.success(request, "Saved. It counts for every job from now.")
            return redirect("safety:heat_limit")
    examples = [(day, rests_words(day)) for day in EXAMPLES]
    shown = {"form": form, "limit": limit, "examples": examples}
    status = 422 if form.errors else 200
    return render(request, "safety/heat_limit.html", shown, status=status)
