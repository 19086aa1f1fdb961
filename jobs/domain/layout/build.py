"""From type and dimensions to a layout."""

from collections.abc import Callable, Mapping

from jobs.domain.dimensions import Dimensions, Structure
from jobs.domain.layout.deck import deck_with_roof
from jobs.domain.layout.flat import attached_flat, freestanding_flat
from jobs.domain.layout.gable import attached_gable, freestanding_gable
from jobs.domain.layout.gable_bay import flat_with_gable_bay
from jobs.domain.layout.model import Layout
from jobs.domain.sections import Sections

BUILDERS: Mapping[Structure, Callable[[Dimensions, Sections], Layout]] = {
    Structure.ATTACHED_FLAT: attached_flat,
    Structure.ATTACHED_GABLE: attached_gable,
    Structure.FLAT_WITH_GABLE_BAY: flat_with_gable_bay,
    Structure.FREESTANDING_FLAT: freestanding_flat,
    Structure.FREESTANDING_GABLE: freestanding_gable,
    Structure.DECK_WITH_ROOF: deck_with_roof,
}


def layout(structure: Structure, dims: Dimensions, sections: Sections) -> Layout:
    """Where every member is. Dimensions must have passed ``check_dimensions``."""
    return BUILDERS[structure](dims, sections)
