"""First run, log in and out, passwords."""

from typing import Any

from django.conf import settings
from django.contrib import messages
from django.contrib.auth import login, views
from django.contrib.auth.decorators import login_not_required
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.urls import reverse_lazy
from django.utils import timezone
from django.views.decorators.http import require_http_methods

from jobs.forms.accounts import LogInForm, NewPasswordForm, SetUpForm
from jobs.services.firm import set_up_firm
from jobs.services.library import load_shipped
from jobs.views.pages import form_page, refusals_in


def address_of(request: HttpRequest) -> str:
    """Where the request comes from; behind a proxy, what our own proxy saw."""
    if settings.BEHIND_HTTPS:
        seen: str = request.headers.get("X-Forwarded-For", "")
        if seen:
            return seen.rsplit(",", maxsplit=1)[-1].strip()
    return str(request.META.get("REMOTE_ADDR", ""))


@login_not_required
@require_http_methods(["GET", "POST"])
def set_up(request: HttpRequest) -> HttpResponse:
    """Ask for the firm and its owner, once."""
    if request.firm.is_set_up:  # type: ignore[attr-defined]
        return redirect("jobs:log_in")
    form = SetUpForm(request.POST or None)
    if form.is_valid():
        typed = form.cleaned_data
        with refusals_in(form):
            owner = set_up_firm(
                firm={
                    "name": typed["firm_name"],
                    "pack": typed["pack"],
                    "time_zone": typed["time_zone"],
                },
                owner_name=typed["owner_name"],
                owner_email=typed["owner_email"],
                owner_password=typed["owner_password"],
                at=timezone.now(),
            )
            load_shipped()
            login(request, owner)
            messages.success(
                request, f"{typed['firm_name']} is set up. Next: add your people."
            )
            return redirect("jobs:person_list")
    return form_page(
        request, form, heading="Set the firm up", template="jobs/set_up.html"
    )


class Answers422:
    """A form page that says in its status when it took nothing."""

    def form_invalid(self, form: Any) -> HttpResponse:
        """The page again, marked as refused."""
        response: HttpResponse = super().form_invalid(form)  # type: ignore[misc]
        response.status_code = 422
        return response


class LogIn(Answers422, views.LoginView):
    """Log in by email. Wrong tries are counted."""

    form_class = LogInForm
    template_name = "registration/login.html"
    redirect_authenticated_user = True

    def get_form(self, form_class: Any = None) -> Any:
        """The form, told where the person comes from."""
        form: Any = super().get_form(form_class)
        form.address = address_of(self.request)
        return form

    def form_invalid(self, form: Any) -> HttpResponse:
        """The page again: 429 when there were too many tries."""
        response = super().form_invalid(form)
        if form.locked:
            response.status_code = 429
        return response


def about_link(request: HttpRequest) -> dict[str, Any]:
    """What a mail with a link says of the firm, and how long the link works."""
    days = settings.PASSWORD_RESET_TIMEOUT // (24 * 60 * 60)
    return {"firm": request.firm, "days": days}  # type: ignore[attr-defined]


class NewPassword(Answers422, views.PasswordResetView):
    """Ask for a link to set a password."""

    form_class = NewPasswordForm
    success_url = reverse_lazy("jobs:password_reset_done")
    email_template_name = "registration/password_reset_email.html"
    subject_template_name = "registration/password_reset_subject.txt"

    def get_form(self, form_class: Any = None) -> Any:
        """The form, told where the person comes from."""
        form: Any = super().get_form(form_class)
        form.address = address_of(self.request)
        return form

    def form_valid(self, form: Any) -> HttpResponse:
        """The mail names the firm."""
        self.extra_email_context = about_link(self.request)
        return super().form_valid(form)


class SetPassword(Answers422, views.PasswordResetConfirmView):
    """Set a password through a link that works once."""

    success_url = reverse_lazy("jobs:password_reset_complete")


class ChangePassword(Answers422, views.PasswordChangeView):
    """Change one's own password."""

    success_url = reverse_lazy("jobs:password_change_done")
