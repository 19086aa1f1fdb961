"""Open a job, change it, close it; and what a list of jobs shows."""

from collections.abc import Iterable
from datetime import date
from typing import TYPE_CHECKING, Any, ClassVar

from crispy_forms.helper import FormHelper
from crispy_forms.layout import Fieldset, Row
from django import forms
from django.db.models import Q, QuerySet

from jobs.forms.accounts import pack_choices
from jobs.forms.fields import (
    DayField,
    EditForm,
    PlainForm,
    RowForm,
    filter_helper,
    panel_helper,
)
from jobs.library import methods
from jobs.models import Client, Firm, Job, Person, Site
from jobs.models.clients import ROOFS
from jobs.queries.job_list import Stage


def leads() -> QuerySet[Person]:
    """People who may lead a site."""
    return Person.objects.filter(is_site_lead=True, is_active=True)


class JobFilter(PlainForm):
    """Which jobs a list shows."""

    q = forms.CharField(label="Number, client, street", required=False)
    show = forms.ChoiceField(
        label="Jobs",
        required=False,
        choices=[("open", "Open"), ("closed", "Closed"), ("all", "All")],
    )
    held = forms.ChoiceField(
        label="Holds",
        required=False,
        choices=[("", "Held or not"), ("held", "Held"), ("free", "Not held")],
    )
    stage = forms.ChoiceField(label="Stage", required=False)
    lead = forms.ChoiceField(label="Site lead", required=False)

    def __init__(
        self, *args: Any, leads: Iterable[Person], sees_all: bool, **kwargs: Any
    ) -> None:
        super().__init__(*args, **kwargs)
        if not sees_all:  # a handful of jobs needs no sieve
            for name in ("held", "stage", "lead"):
                del self.fields[name]
            return
        stages = [(stage.name, stage.value) for stage in Stage]
        names = [(str(person.pk), person.name) for person in leads]
        self.fields["stage"].choices = [("", "Any stage"), *stages]  # type: ignore[attr-defined]
        self.fields["lead"].choices = [("", "Anybody"), *names]  # type: ignore[attr-defined]

    @property
    def helper(self) -> FormHelper:
        """Asked by GET, in one row."""
        return filter_helper()


def method_choices() -> list[tuple[str, str]]:
    """Methods of the firm's library by name."""
    pairs = [(key, method.name) for key, method in methods().items()]
    return [("", "Choose one"), *sorted(pairs, key=lambda pair: pair[1])]


if TYPE_CHECKING:
    ModelChoiceField = forms.ModelChoiceField[Site]
else:
    ModelChoiceField = forms.ModelChoiceField  # knows no brackets while running


class SiteChoice(ModelChoiceField):
    """Sites, each under its client."""

    def label_from_instance(self, obj: Any) -> str:
        """Whose, and where it is: the list is in the order of clients."""
        return f"{obj.client.name}: {obj.address}, {obj.suburb}"


def refuse_days_gone(form: forms.BaseForm, names: Iterable[str], today: date) -> None:
    """A day to come that lies behind us is a slip of the finger."""
    for name in names:
        day = form.cleaned_data.get(name)
        if day is not None and day < today:
            form.add_error(name, "That day is gone. Check the year, or leave it empty.")


_NEW_SITE = ("address", "suburb", "existing_roof")
_NEW_CLIENT = ("client_name", "client_phone", "client_email")


class NewJobForm(RowForm):
    """A job, with its client and site when they are new."""

    field_order = (  # as on the page, so that what is wrong is listed in that order
        "site",
        "address",
        "suburb",
        "state",
        "existing_roof",
        "client",
        *_NEW_CLIENT,
        "method",
        "title",
    )
    site = SiteChoice(
        label="Site",
        required=False,
        queryset=Site.objects.none(),
        empty_label="A new site: fill it in below",
    )
    client = forms.ModelChoiceField(
        label="Client of the new site",
        required=False,
        queryset=Client.objects.none(),
        empty_label="A new client: fill it in below",
    )
    client_name = forms.CharField(label="Name", required=False, max_length=120)
    client_phone = forms.CharField(label="Phone", required=False, max_length=40)
    client_email = forms.EmailField(label="Email", required=False)
    address = forms.CharField(label="Street and number", required=False, max_length=240)
    suburb = forms.CharField(label="Suburb", required=False, max_length=80)
    state = forms.ChoiceField(label="Whose law applies", choices=pack_choices)
    existing_roof = forms.ChoiceField(
        label="Roof the new one meets",
        required=False,
        choices=[("", "Choose one"), *ROOFS],
        help_text="Nobody knows? Take “Something else”: the plan then holds it for one "
        "that can break.",
    )
    method = forms.ChoiceField(
        label="What is built",
        choices=method_choices,
        help_text="The method gives the job its tasks. They can be changed afterwards.",
    )
    wanted_on = DayField(
        label="Client would like it by",
        required=False,
        help_text="A wish, not a promise.",
    )
    promised_on = DayField(label="Promised by", required=False)

    class Meta:
        model = Job
        fields = ("title", "site_lead", "wanted_on", "promised_on", "weight", "note")
        labels: ClassVar[dict[str, str]] = {"title": "Name of the job"}
        help_texts: ClassVar[dict[str, str]] = {
            "title": "A few words the crew will know it by, such as “Gabled patio”."
        }
        widgets: ClassVar[dict[str, Any]] = {"note": forms.Textarea(attrs={"rows": 3})}

    def __init__(
        self,
        *args: Any,
        clients: QuerySet[Client],
        firm: Firm,
        today: date,
        **kwargs: Any,
    ) -> None:
        super().__init__(*args, **kwargs)
        self.today = today
        sites = Site.objects.filter(client__in=clients).select_related("client")
        self._field("site").queryset = sites.order_by("client__name", "suburb")
        self._field("client").queryset = clients
        self._field("site_lead").queryset = leads()
        self._field("site_lead").empty_label = "Nobody yet"
        self.initial.setdefault("state", firm.pack)
        for name in ("site", "client", "client_name", *_NEW_SITE):
            self._field(name).sometimes_needed = True  # so not called optional

    def _field(self, name: str) -> Any:
        return self.fields[name]

    def clean(self) -> dict[str, Any]:
        """Either a site that is there, or all that makes a new one; never both."""
        cleaned = super().clean() or self.cleaned_data
        refuse_days_gone(self, ("wanted_on", "promised_on"), self.today)
        if cleaned.get("site"):
            says = "You chose a site above. Empty this, or choose “A new site” there."
            self._refuse(("address", "suburb", *_NEW_CLIENT), says)
            return cleaned
        for name in ("address", "suburb"):
            self._need(name, "Choose a site above, or fill in the new one.")
        self._need("existing_roof", "Choose what covers the house there.")
        if cleaned.get("client"):
            says = (
                "You chose a client above. Empty this, or choose “A new client” there."
            )
            self._refuse(_NEW_CLIENT, says)
        else:
            self._need("client_name", "Choose a client, or give the new one's name.")
            self._refuse_known_client(cleaned.get("client_name"))
        return cleaned

    def _refuse_known_client(self, name: str | None) -> None:
        """The same client twice has half of the jobs each."""
        if name and self._field("client").queryset.filter(name__iexact=name).exists():
            says = "There is a client of that name. Choose them above, or add a word "
            self.add_error("client_name", f"{says}that tells the two apart.")

    def _need(self, name: str, says: str) -> None:
        if not self.cleaned_data.get(name) and name not in self.errors:
            self.add_error(name, says)

    def _refuse(self, names: Iterable[str], says: str) -> None:
        """What was typed for nothing is said, rather than lost."""
        for name in names:
            if self.cleaned_data.get(name):
                self.add_error(name, says)

    def job_values(self) -> dict[str, Any]:
        """Columns of the job but client and site."""
        names = ("title", "site_lead", "wanted_on", "promised_on", "weight", "note")
        return {name: self.cleaned_data[name] for name in names}

    def client_values(self) -> dict[str, Any]:
        """Columns of the new client."""
        return {
            name.removeprefix("client_"): self.cleaned_data[name]
            for name in ("client_name", "client_phone", "client_email")
        }

    def site_values(self) -> dict[str, Any]:
        """Columns of the new site."""
        names = ("address", "suburb", "state", "existing_roof")
        return {name: self.cleaned_data[name] for name in names}

    @property
    def helper(self) -> FormHelper:
        """Where, what, when."""
        return panel_helper(
            Fieldset("Where", "site"),
            Fieldset(
                "A new site",
                Row("address", "suburb"),
                "existing_roof",
                "state",
                "client",
                css_class="new-site",
            ),
            Fieldset(
                "A new client",
                "client_name",
                Row("client_phone", "client_email"),
                css_class="new-client",
            ),
            Fieldset("What", "method", "title"),
            Fieldset(
                "Who and when",
                "site_lead",
                Row("wanted_on", "promised_on"),
                "weight",
                "note",
            ),
            save="Open the job",
        )


class JobForm(EditForm):
    """What may be changed of a job at any time."""

    wanted_on = DayField(label="Client would like it by", required=False)
    promised_on = DayField(label="Promised by", required=False)

    class Meta:
        model = Job
        fields = ("title", "site_lead", "wanted_on", "promised_on", "weight", "note")
        widgets: ClassVar[dict[str, Any]] = {"note": forms.Textarea(attrs={"rows": 3})}

    def __init__(self, *args: Any, instance: Job, today: date, **kwargs: Any) -> None:
        super().__init__(*args, instance=instance, **kwargs)
        self.today = today
        keep = Q(pk=instance.site_lead_id)
        field: Any = self.fields["site_lead"]
        field.queryset = Person.objects.filter(
            keep | Q(is_site_lead=True, is_active=True)
        )
        field.empty_label = "Nobody yet"

    def clean(self) -> dict[str, Any]:
        """A day that is changed lies ahead; one that stays may have gone by."""
        cleaned = super().clean() or self.cleaned_data
        days = {"wanted_on", "promised_on"} & set(self.changed_data)
        refuse_days_gone(self, sorted(days), self.today)
        return cleaned

    @property
    def helper(self) -> FormHelper:
        """One panel."""
        return panel_helper(
            "title",
            "site_lead",
            Row("wanted_on", "promised_on"),
            "weight",
            "note",
            save="Save the job",
        )


class CloseForm(PlainForm):
    """How a job ends."""

    how = forms.ChoiceField(
        label="How does it end?", choices=Job.Closed.choices, widget=forms.RadioSelect
    )
    note = forms.CharField(
        label="A word for the record",
        required=False,
        widget=forms.Textarea(attrs={"rows": 3}),
    )

    reason = forms.CharField(
        label="If it is handed over all the same: why?",
        required=False,
        help_text="It goes into the ledger, with the list of what is open.",
        widget=forms.Textarea(attrs={"rows": 3}),
    )

    def __init__(self, *args: Any, something_open: bool, **kwargs: Any) -> None:
        """``something_open`` asks for a reason; the service says when it is missing."""
        super().__init__(*args, **kwargs)
        self.fields["reason"].sometimes_needed = True  # type: ignore[attr-defined]
        if not something_open:
            del self.fields["reason"]

    @property
    def helper(self) -> FormHelper:
        """One panel."""
        return panel_helper(save="Close the job")


class ReopenForm(PlainForm):
    """Why a job is taken up again."""

    reason = forms.CharField(
        label="Why is it opened again?", widget=forms.Textarea(attrs={"rows": 3})
    )

    @property
    def helper(self) -> FormHelper:
        """One panel."""
        return panel_helper(save="Open it again")
