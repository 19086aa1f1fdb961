"""The libraries in the admin: texts are checked before they are kept."""

from typing import TYPE_CHECKING, Any

from django import forms
from django.contrib import admin
from django.contrib.auth.models import Group
from django.http import HttpRequest
from django.utils import timezone

from jobs.domain.roles import Can
from jobs.forms.fields import RowForm
from jobs.models import ApprovalKind, LibraryText, Person
from jobs.services.approvals import edit_kind
from jobs.services.library import edit_text, parse_problem


class LibraryTextForm(RowForm):
    """A library text; every fault is named with its line."""

    class Meta:
        model = LibraryText
        fields = ("text",)
        widgets = {"text": forms.Textarea(attrs={"rows": 40, "cols": 110})}

    def clean_text(self) -> str:
        """Refuse what cannot be read."""
        text: str = self.cleaned_data["text"].replace("\r\n", "\n")
        problem = parse_problem(self.instance.kind, self.instance.key, text)
        if problem:
            raise forms.ValidationError(problem.splitlines())
        return text


if TYPE_CHECKING:
    ModelAdmin = admin.ModelAdmin[Any]
else:
    ModelAdmin = admin.ModelAdmin  # knows no brackets while running


class OfficeAdmin(ModelAdmin):
    """For those who may edit the libraries, and for nobody else."""

    def _may(self, request: HttpRequest) -> bool:
        person = request.user
        return isinstance(person, Person) and person.can(Can.EDIT_LIBRARY)

    def has_module_permission(self, request: HttpRequest) -> bool:
        """Whether it is listed."""
        return self._may(request)

    def has_view_permission(self, request: HttpRequest, obj: Any = None) -> bool:
        """Whether it may be read."""
        return self._may(request)

    def has_change_permission(self, request: HttpRequest, obj: Any = None) -> bool:
        """Whether it may be changed."""
        return self._may(request)

    def has_add_permission(self, request: HttpRequest) -> bool:
        """Rows come from the pages, which record who added them."""
        return False

    def has_delete_permission(self, request: HttpRequest, obj: Any = None) -> bool:
        """Jobs rest on them."""
        return False


admin.site.unregister(Group)  # people have roles here, and nothing asks for groups


@admin.register(LibraryText)
class LibraryTextAdmin(OfficeAdmin):
    """Methods and hazards as text."""

    form = LibraryTextForm
    list_display = ("key", "kind", "edited_by_the_firm", "edited_at")
    list_filter = ("kind",)
    search_fields = ("key", "text")

    @admin.display(boolean=True, description="changed by the firm")
    def edited_by_the_firm(self, row: LibraryText) -> bool:
        """Whether it differs from the shipped text."""
        return row.is_edited

    def save_model(
        self, request: HttpRequest, obj: LibraryText, form: Any, change: bool
    ) -> None:
        """Through the service, which records it."""
        assert isinstance(request.user, Person)
        edit_text(text=obj, new=obj.text, actor=request.user, at=timezone.now())


@admin.register(ApprovalKind)
class ApprovalKindAdmin(OfficeAdmin):
    """Kinds of approval: usual days, and when each is needed."""

    list_display = ("name", "given_by", "usual_days", "needed_before_booking", "basis")
    readonly_fields = ("key",)

    def save_model(
        self, request: HttpRequest, obj: ApprovalKind, form: Any, change: bool
    ) -> None:
        """Through the service, which records it."""
        assert isinstance(request.user, Person)
        values = {name: form.cleaned_data[name] for name in form.changed_data}
        edit_kind(kind=obj, values=values, actor=request.user, at=timezone.now())
