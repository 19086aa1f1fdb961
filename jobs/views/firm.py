"""The firm's settings. The owner's part."""

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect
from django.utils import timezone
from django.views.decorators.http import require_http_methods

from jobs.domain.roles import Can
from jobs.forms.firm import FirmForm
from jobs.permissions import require
from jobs.queries import the_firm
from jobs.services.firm import edit_firm
from jobs.views.pages import PersonRequest, form_page, refusals_in


@require_http_methods(["GET", "POST"])
def firm_edit(request: PersonRequest) -> HttpResponse:
    """Change the firm's settings."""
    require(request.user, Can.EDIT_FIRM)
    firm = the_firm()
    form = FirmForm(request.POST or None, instance=firm)
    if form.is_valid():
        with refusals_in(form, firm):
            edit_firm(
                version=form.opened_version(),
                values=form.values(),
                actor=request.user,
                at=timezone.now(),
            )
            messages.success(request, "Saved.")
            return redirect("jobs:firm_edit")
    return form_page(request, form, heading="The firm")
