"""The admin site: library tables, for the office."""

from typing import Any

from django.contrib import admin
from django.contrib.auth.views import redirect_to_login
from django.core.exceptions import PermissionDenied
from django.http import HttpRequest, HttpResponse
from django.urls import reverse

from jobs.domain.roles import Can
from jobs.models import Person


class LibraryAdminSite(admin.AdminSite):
    """Where the firm's libraries are kept. Jobs are worked on elsewhere."""

    site_header = site_title = "Eavesline libraries"
    index_title = "Libraries"

    def has_permission(self, request: HttpRequest) -> bool:
        """Those who may edit the libraries."""
        person = request.user
        return isinstance(person, Person) and person.can(Can.EDIT_LIBRARY)

    def login(
        self, request: HttpRequest, extra_context: dict[str, Any] | None = None
    ) -> HttpResponse:
        """Through our own door, which counts tries; a page of its own would not."""
        if request.user.is_authenticated:
            raise PermissionDenied("Only the office edits the libraries.")
        return redirect_to_login(request.GET.get("next", reverse("admin:index")))
