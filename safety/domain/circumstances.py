"""Circumstances of a site in sentences, for the head of a statement.

The model WHS Regulations reg 299(3) ask that a statement takes into account the
circumstances of the workplace that may affect how the work is done (read in SA r 299).
"""

from collections.abc import Callable, Mapping

from jobs.domain.facts import Fact, JobFacts
from safety.domain.bands import step_up
from safety.domain.wording import shown

_SIZE_STEP_M = 0.1  # firm's decision
_Say = Callable[[Fact], str]


def circumstances(facts: JobFacts) -> tuple[str, ...]:
    """What is known of the site, a sentence each; what nobody knows is left out here."""
    return tuple(
        says(value)
        for name, says in _SENTENCES.items()
        if (value := facts.site.get(name)) is not None and says(value)
    )


def structure_words(name: str, dimensions: Mapping[str, Fact]) -> str:
    """The structure with its main dimensions: "Attached gable, 6.8 m along by 3.2 m out"."""
    along = shown(dimensions.get("length_m"), "m")
    out = shown(dimensions.get("projection_m"), "m")
    return f"{name}, {along} along by {out} out"


def structure_counts(name: str, dimensions: Mapping[str, Fact]) -> str:
    """The structure as it counts for a signature: by each begun 0.1 m of its size."""
    sizes = {
        key: step_up(size, _SIZE_STEP_M, "m")
        for key, size in dimensions.items()
        if key in ("length_m", "projection_m") and isinstance(size, int | float)
    }
    return structure_words(name, sizes)


def _figure(before: str, unit: str, after: str = "") -> _Say:
    return lambda value: f"{before} {shown(value, unit)}{after}."


def _when(yes: str, no: str = "") -> _Say:
    return lambda value: yes if value else no


def _word(before: str, after: str = "") -> _Say:
    return lambda value: f"{before} {shown(value)}{after}."


def _ground(value: Fact) -> str:
    """What is under people's feet; of sloping ground only the slope is known."""
    return "sloping ground" if value == "sloping" else shown(value)


_SENTENCES: Mapping[str, _Say] = {
    "existing_roof": _word("The roof it meets:"),
    "existing_eave_height_m": _figure("The eave of the house is at", "m"),
    "building_year": lambda value: f"The house was built in {value}.",
    "overhead_line": _when(
        "An overhead power line is near the work.", "No overhead line is near the work."
    ),
    "overhead_line_distance_m": _figure("The line is", "m", " away"),
    "overhead_line_kv": _figure("The line carries", "kV"),
    "ground": lambda value: f"People and props stand on: {_ground(value)}.",
    "slab_slope_pct": _figure("The ground slopes", "%"),
    "access": _word("The way in for long pieces:"),
    "carry_distance_m": _figure("Pieces are carried", "m", " from the truck"),
    "neighbour_distance_m": _figure("The nearest boundary is", "m", " away"),
    "near_traffic": _when("A road or driveway in use runs beside the work."),
    "occupied": _when("People live in the house during the work."),
    "children_or_pets": _when("There are children or pets."),
    "buried_services_known": _when(
        "Buried services have been located.",
        "Buried services have not been located yet.",
    ),
    "power_on_site": _when("There is power on site.", "There is no power on site."),
    "water_on_site": _when("There is water on site.", "There is no water on site."),
}
