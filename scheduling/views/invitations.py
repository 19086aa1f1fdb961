"""A person's own choice about calendar invitations by email."""

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect
from django.utils import timezone
from django.views.decorators.http import require_POST

from jobs.views.pages import PersonRequest, refusals_as_messages
from scheduling.services.invitations import set_wish


@require_POST
def invitation_wish(request: PersonRequest) -> HttpResponse:
    """Turn one's own invitations on or off."""
    wanted = bool(request.POST.get("wanted"))
    with refusals_as_messages(request):
        set_wish(person=request.user, wanted=wanted, at=timezone.now())
        on = "From now on your bookings come by email, those ahead too."
        off = "No more invitations. Those for days ahead are taken out again."
        messages.success(request, on if wanted else off)
    return redirect("jobs:me")
