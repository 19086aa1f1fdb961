"""The dimensions of a structure, checked as the take-off will read them."""

from collections.abc import Mapping
from dataclasses import fields
from typing import Any, ClassVar

from crispy_forms.helper import FormHelper
from crispy_forms.layout import Fieldset, Row
from django import forms

from jobs.domain.dimensions import Dimensions, Frame, Structure
from jobs.domain.sections import Role
from jobs.domain.takeoff import check_dimensions
from jobs.domain.takeoff.check import Range, out_of_range, ranges_for
from jobs.forms.fields import EditForm, FigureField, panel_helper
from jobs.library import sections
from jobs.models import JobDimensions

_ROLES = {
    "beam_section": (Role.BEAM, "Beams"),
    "rafter_section": (Role.RAFTER, "Rafters"),
    "purlin_section": (Role.PURLIN, "Purlins or battens"),
    "post_section": (Role.POST, "Posts"),
    "sheet_profile": (Role.SHEET, "Roof sheets"),
    "joist_section": (Role.JOIST, "Deck joists"),
    "bearer_section": (Role.BEARER, "Deck bearers"),
    "board_section": (Role.BOARD, "Deck boards"),
}
_BAY = ("gable_bay_length_m", "gable_bay_pitch_deg")
_DECK = (
    "deck_height_m",
    "joist_spacing_max_m",
    "bearer_spacing_max_m",
    "stair_width_m",
    "joist_section",
    "bearer_section",
    "board_section",
)
_ON_SLAB = ("slab_thickness_mm", "anchors_per_post", "on_footings")
_HELP = {
    "length_m": "Along the house wall and the gutter, outside of the roof.",
    "projection_m": "Out from the house, outside of the roof.",
    "clear_height_m": "From the floor to the underside of the outer beam, "
    "at the lowest post.",
    "overhang_m": "Roof beyond the outer beam.",
    "post_spacing_max_m": "From the engineer’s drawing. So are the next two.",
    "sheet_cover_m": "The width one sheet covers once it is lapped.",
    "slab_fall_mm": "Floor at the outer posts below the floor at the house. "
    "Measure with a level.",
    "slab_cross_fall_mm": "Floor at the far end below the near end.",
    "footing_depth_m": "The engineer’s drawing decides.",
    "anchors_per_post": "The engineer’s drawing decides.",
    "deck_height_m": "Top of the deck above the ground at the house.",
}


def section_choices(role: Role) -> list[tuple[str, str]]:
    """Sections that may be used as this."""
    return [(s.key, s.name) for s in sections().values() if s.role is role]


def asked_for(structure: Structure) -> list[str]:
    """The dimensions that a kind of structure has."""
    skip: set[str] = set()
    if structure is not Structure.FLAT_WITH_GABLE_BAY:
        skip |= set(_BAY)
    if structure is Structure.DECK_WITH_ROOF:
        skip |= set(_ON_SLAB)  # its posts and stumps always stand in footings
    else:
        skip |= set(_DECK)
    return [field.name for field in fields(Dimensions) if field.name not in skip]


class DimensionsForm(EditForm):
    """Dimensions of one kind of structure, with problems beside the fields."""

    class Meta:
        model = JobDimensions
        exclude = ("job", "version")
        labels: ClassVar[dict[str, str]] = {n: name for n, (_, name) in _ROLES.items()}

    def __init__(self, *args: Any, structure: Structure, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.structure = structure
        kept = set(asked_for(structure)) | {"version"}
        for name in [name for name in self.fields if name not in kept]:
            del self.fields[name]
        for name in kept & set(_ROLES):
            self.fields[name] = forms.ChoiceField(
                label=_ROLES[name][1], choices=section_choices(_ROLES[name][0])
            )
        self._make_figures()

    def _make_figures(self) -> None:
        """Figures say their range, and are not limited by the browser."""
        ranges = ranges_for(self.structure)
        for name, field in self.fields.items():
            field.help_text = _HELP.get(name, "")
            if not isinstance(field, forms.FloatField):
                continue
            figure = FigureField(label=field.label, help_text=field.help_text)
            self.fields[name] = figure
            if name in ranges:
                low, high = ranges[name].low, ranges[name].high
                between = f"Between {low:g} and {high:g}."
                figure.help_text = f"{figure.help_text} {between}".strip()
                self._start_empty(name, ranges[name])

    def _start_empty(self, name: str, allowed: Range) -> None:
        """No figure stands there that nobody typed and that cannot be kept."""
        value = self.initial.get(name)
        new = self.instance.pk is None
        if new and value is not None and out_of_range(value, allowed):
            self.initial[name] = None

    def clean(self) -> dict[str, Any]:
        """Check as the take-off does, once every figure is a figure."""
        cleaned = super().clean() or self.cleaned_data
        if self.errors:  # the rest is checked one by one, so that all is said at once
            for name, allowed in ranges_for(self.structure).items():
                says = out_of_range(cleaned.get(name, allowed.low), allowed)
                if says:
                    self.add_error(name, says)
            return cleaned
        dims = self.dimensions(cleaned)
        for problem in check_dimensions(self.structure, dims, sections()):
            field = problem.field if problem.field in self.fields else None
            self.add_error(field, problem.says)
        return cleaned

    def dimensions(self, cleaned: Mapping[str, Any] | None = None) -> Dimensions:
        """What was typed, as the take-off reads it; what is not asked stays as it was."""
        typed = self.cleaned_data if cleaned is None else cleaned
        names = [field.name for field in fields(Dimensions)]
        values = {n: typed.get(n, getattr(self.instance, n)) for n in names}
        values["frame"] = Frame(values["frame"])
        return Dimensions(**values)

    @property
    def helper(self) -> FormHelper:
        """Roof, frame, floor, and what only some structures have."""
        groups = [
            Fieldset(
                "The roof",
                Row("length_m", "projection_m"),
                Row("pitch_deg", "clear_height_m"),
                "overhang_m",
            )
        ]
        if "gable_bay_length_m" in self.fields:
            groups.append(Fieldset("The raised gable bay", Row(*_BAY)))
        if "deck_height_m" in self.fields:
            groups.append(Fieldset("The deck", *_DECK))
        groups += [
            Fieldset(
                "The floor",
                Row("slab_fall_mm", "slab_cross_fall_mm"),
                *[name for name in _ON_SLAB if name in self.fields],
                Row("footing_depth_m", "footing_diameter_m"),
            ),
            Fieldset(
                "Frame and sheets, from the engineer or the supplier",
                "frame",
                *[n for n in _ROLES if n in self.fields and n not in _DECK],
                Row("post_spacing_max_m", "rafter_spacing_max_m"),
                Row("purlin_spacing_max_m", "sheet_cover_m"),
            ),
        ]
        return panel_helper(*groups, save="Save the dimensions")
