"""Clients, and the facts of their sites with why each one matters."""

from typing import Any, ClassVar

from crispy_forms.helper import FormHelper
from crispy_forms.layout import Fieldset, Row
from django import forms

from jobs.forms.accounts import pack_choices
from jobs.forms.fields import (
    EditForm,
    FigureField,
    PlainForm,
    YesNoUnknownField,
    filter_helper,
    panel_helper,
)
from jobs.models import Client, Site
from jobs.models.clients import MOST_DRIVE_MINUTES, ROOFS


class ClientForm(EditForm):
    """Who ordered the work."""

    class Meta:
        model = Client
        fields = ("name", "phone", "email", "address", "note")
        widgets: ClassVar[dict[str, Any]] = {"note": forms.Textarea(attrs={"rows": 3})}

    @property
    def helper(self) -> FormHelper:
        """One panel."""
        return panel_helper()


class ClientFilter(PlainForm):
    """Which clients a list shows."""

    q = forms.CharField(label="Name, suburb or phone", required=False)

    @property
    def helper(self) -> FormHelper:
        """Asked by GET, in one row."""
        return filter_helper()


class SiteForm(EditForm):
    """A place with its facts. What nobody knows stays unknown."""

    state = forms.ChoiceField(
        label="Whose law applies there",
        choices=pack_choices,
        help_text="The state decides which rules the hazard plan goes by.",
    )
    existing_eave_height_m = FigureField(
        label="Eave height, m",
        required=False,
        min_value=0.5,
        max_value=15,
        help_text="Ground to the edge of the existing roof. It says how far a person "
        "could fall while fixing to the house.",
    )
    building_year = forms.IntegerField(
        label="Year the house was built",
        required=False,
        min_value=1800,
        max_value=2200,
        help_text="An older house may hold asbestos in eaves, fascia backing or walls.",
    )
    fascia_is_metal = YesNoUnknownField(
        label="Fascia is metal",
        required=False,
        help_text="A metal fascia is opened up and fixed to in another way than timber.",
    )
    overhead_line = YesNoUnknownField(
        label="Overhead power line near the work",
        required=False,
        help_text="Long sheets and ladders reach further than people think.",
    )
    overhead_line_distance_m = FigureField(
        label="Nearest distance to that line, m",
        required=False,
        min_value=0,
        max_value=200,
        help_text="From the line to the nearest place where people or materials will be.",
    )
    overhead_line_kv = FigureField(
        label="Its voltage, kV",
        required=False,
        min_value=0,
        max_value=1000,
        help_text="Ask the network. How close you may work depends on it. "
        "A line in a street is often 0.4 or 11 kV; never guess.",
    )
    buried_services_known = YesNoUnknownField(
        label="Buried services located",
        required=False,
        help_text="Gas, water, power and data lines, before anybody digs a footing.",
    )
    slab_slope_pct = FigureField(
        label="Slope of slab or ground, %",
        required=False,
        min_value=0,
        max_value=100,
        help_text="Ladders, trestles and props need level ground. 1 % is 10 mm in a metre.",
    )
    carry_distance_m = FigureField(
        label="Carry from truck to work, m",
        required=False,
        min_value=0,
        max_value=500,
        help_text="It adds time and strain to every beam and sheet.",
    )
    neighbour_distance_m = FigureField(
        label="Distance to the nearest boundary, m",
        required=False,
        min_value=0,
        max_value=500,
        help_text="Close neighbours mean noise limits and a smaller drop zone.",
    )
    yard_distance_km = FigureField(
        label="Distance from the yard, km", required=False, min_value=0, max_value=2000
    )
    drive_minutes = forms.IntegerField(
        label="Drive from the yard, minutes",
        required=False,
        min_value=0,
        max_value=MOST_DRIVE_MINUTES,
        help_text="The plan takes it off the working day.",
    )
    latitude = forms.DecimalField(
        required=False, min_value=-90, max_value=90, max_digits=9, decimal_places=6
    )
    longitude = forms.DecimalField(
        required=False,
        min_value=-180,
        max_value=180,
        max_digits=9,
        decimal_places=6,
        help_text="For the map link in calendars. May stay empty.",
    )

    class Meta:
        model = Site
        exclude = ("client", "version")
        widgets: ClassVar[dict[str, Any]] = {"note": forms.Textarea(attrs={"rows": 3})}
        help_texts: ClassVar[dict[str, str]] = {
            "existing_roof": "Tiles break under a foot, sheets are slippery when wet, and "
            "old fibre cement may hold asbestos.",
            "ground": "It decides how ladders and props are footed.",
            "access": "It decides how long pieces get in, and how many people carry them.",
            "near_traffic": "People and loads need to be kept apart from vehicles.",
            "occupied": "They need a way in and out that is not under the work.",
            "children_or_pets": "The fence or barrier has to keep them out as well.",
            "power_on_site": "If not, bring a generator or battery tools.",
            "water_on_site": "It is needed for dust, hands and first aid.",
        }

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        if self.instance.pk is None:  # a roof nobody looked at is not a tiled one
            field: Any = self.fields["existing_roof"]
            field.choices = [("", "Choose one"), *ROOFS]
            self.initial["existing_roof"] = ""

    @property
    def helper(self) -> FormHelper:
        """Grouped by what a person looks at on the first visit."""
        return panel_helper(*SITE_LAYOUT, save="Save the site")

    def clean(self) -> dict[str, Any]:
        """A distance to a line that is not there is a slip."""
        cleaned = super().clean() or self.cleaned_data
        figures = ("overhead_line_distance_m", "overhead_line_kv")
        if cleaned.get("overhead_line") is False:
            for name in figures:
                if cleaned.get(name) is not None:
                    self.add_error(
                        name,
                        "You said there is no line. Take this out, or change the answer.",
                    )
        return cleaned


SITE_LAYOUT = (
    Fieldset("Where it is", "address", "suburb", "state"),
    Fieldset(
        "The house",
        "existing_roof",
        "existing_eave_height_m",
        "building_year",
        "fascia_is_metal",
    ),
    Fieldset(
        "Power lines and buried services",
        "overhead_line",
        Row("overhead_line_distance_m", "overhead_line_kv"),
        "buried_services_known",
    ),
    Fieldset(
        "Ground and access", "ground", "slab_slope_pct", "access", "carry_distance_m"
    ),
    Fieldset(
        "People around",
        "neighbour_distance_m",
        "near_traffic",
        "occupied",
        "children_or_pets",
    ),
    Fieldset("On site", "power_on_site", "water_on_site"),
    Fieldset(
        "Getting there",
        Row("yard_distance_km", "drive_minutes"),
        Row("latitude", "longitude"),
        "note",
    ),
)
