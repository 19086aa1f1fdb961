"""The facts that hazard rules may ask for: name, words for the page, unit, direction.

A rule that asks for a fact not listed here is refused when the library is loaded, so a
misspelt fact cannot silently switch a hazard off.
"""

from collections.abc import Mapping
from dataclasses import dataclass, fields
from enum import StrEnum

from jobs.domain.dimensions import Dimensions
from jobs.domain.site_facts import SiteFacts
from jobs.domain.takeoff.keys import QUANTITIES


class Worse(StrEnum):
    """In which direction a number becomes more dangerous."""

    MORE = "more"
    LESS = "less"
    NEITHER = ""


@dataclass(frozen=True, slots=True)
class FactSpec:
    """A fact by name: words, unit, and which way is worse."""

    name: str
    label: str
    unit: str = ""
    worse: Worse = Worse.NEITHER


_UNITS_BY_ENDING: Mapping[str, str] = {
    "_m": "m",
    "_mm": "mm",
    "_km": "km",
    "_kg": "kg",
    "_deg": "deg",
    "_pct": "%",
    "_kv": "kV",
    "_ms": "m/s",
    "_ms2": "m/s2",
    "_dba": "dB(A)",
    "_n": "N",
    "_m2": "m2",
    "_minutes": "min",
    "_degc": "degC",
}


def _unit(name: str) -> str:
    for ending, unit in sorted(_UNITS_BY_ENDING.items(), key=lambda e: -len(e[0])):
        if name.endswith(ending):
            return unit
    return ""


def _spec(name: str, label: str, worse: Worse = Worse.NEITHER) -> FactSpec:
    return FactSpec(name, label, _unit(name), worse)


_TASK = (
    _spec("task.name", "name of the step"),
    _spec("task.kind", "kind of step"),
    _spec("task.key", "step"),
    _spec("task.work_height_m", "height worked at", Worse.MORE),
    _spec("task.crew_min", "smallest crew"),
    _spec("task.crew_max", "largest crew"),
    _spec("task.person_minutes", "person-minutes of the step", Worse.MORE),
    _spec("task.quantity", "amount of work", Worse.MORE),
    _spec("task.tools", "tools used"),
    _spec("task.tool_tags", "kinds of tool used"),
    _spec("task.tool_minutes", "running minutes of all tools", Worse.MORE),
    _spec("task.tickets", "tickets needed"),
    _spec("task.materials", "materials used"),
    _spec("task.pieces_lifted", "pieces lifted"),
    _spec("task.lifted_how", "how pieces are raised"),
    _spec("task.heaviest_lift_kg", "heaviest piece lifted", Worse.MORE),
    _spec("task.heaviest_hand_lift_kg", "heaviest piece lifted by hand", Worse.MORE),
    _spec("task.longest_lift_m", "longest piece lifted", Worse.MORE),
    _spec("task.highest_lift_m", "height pieces are lifted to", Worse.MORE),
    _spec("task.heaviest_piece", "piece that is hardest to lift by hand"),
    _spec("task.lift_people", "people on the heaviest hand lift"),
    _spec("task.kinds_lifted_by_hand", "kinds of piece lifted by hand", Worse.MORE),
    _spec("task.lift_count", "number of pieces lifted", Worse.MORE),
    _spec("task.stops_in_rain", "whether rain stops the step"),
    _spec("task.wind_limit_ms", "the firm's wind limit for the step"),
)
_JOB = (
    _spec("job.structure", "kind of structure"),
    _spec("job.attached", "whether the structure joins the house"),
    _spec("job.gable", "whether the roof has a ridge"),
    _spec("job.task_kinds", "kinds of step in the job"),
    _spec("job.tools", "tools used on the job"),
    _spec("job.tool_tags", "kinds of tool used on the job"),
    _spec("job.lifted_how", "how pieces are raised on the job"),
    _spec("job.max_work_height_m", "greatest height worked at", Worse.MORE),
    _spec("job.smallest_crew", "smallest crew of any step"),
    _spec("job.person_minutes", "person-minutes of the whole job", Worse.MORE),
    _spec("job.work_load", "how hard the work is"),
    _spec("job.heat_rest", "rests in heat for people used to it"),
    _spec("job.heat_rest_new", "rests in heat for people not used to it"),
    _spec("job.heat_limited", "whether the firm has set a heat limit"),
    _spec("job.heat_limit", "the firm's heat limit"),
    _spec("job.season", "season of the work"),
    _spec("job.month", "month of the work"),
)
_EXPOSURE = (
    _spec("exposure.noise_lex8h_dba", "noise over an eight hour day", Worse.MORE),
    _spec("exposure.noise_loudest_dba", "loudest tool", Worse.MORE),
    _spec("exposure.noise_day_dba", "noise for one person over the day", Worse.MORE),
    _spec("exposure.hav_a8_ms2", "hand-arm vibration A(8)", Worse.MORE),
    _spec("exposure.hav_points", "hand-arm vibration points", Worse.MORE),
    _spec(
        "exposure.hav_day_a8_ms2", "vibration for one person over the day", Worse.MORE
    ),
    FactSpec(
        "exposure.hav_day_points",
        "vibration points over the day",
        "points",
        Worse.MORE,
    ),
    _spec("exposure.noise_figures", "where the noise figures come from"),
    _spec("exposure.vibration_figures", "where the vibration figures come from"),
    _spec("exposure.lift_index", "lifting index of the heaviest hand lift", Worse.MORE),
    _spec("exposure.lift_together", "lifting index of all hand lifts", Worse.MORE),
    _spec("exposure.lift_share_kg", "each person's share of the lift", Worse.MORE),
    _spec("exposure.wind_force_n", "push of the wind on the largest sheet", Worse.MORE),
    _spec("exposure.fall_height_m", "height a person could fall", Worse.MORE),
    _spec("exposure.fall_clearance_m", "clear height below a person at the edge"),
    _spec("exposure.hearing_class", "class of hearing protector"),
    _spec("exposure.wind_judged_ms", "wind speed judged at"),
    _spec("exposure.wind_beaufort", "Beaufort force of that wind"),
    _spec("exposure.ladder_foot_out_m", "how far out the ladder's foot stands"),
    _spec("exposure.ladder_length_m", "length of ladder needed"),
    _spec(
        "exposure.silica_minutes", "minutes of drilling or cutting masonry", Worse.MORE
    ),
    _spec("exposure.spark_minutes", "minutes of tools that throw sparks", Worse.MORE),
)
_SITE_LABELS = {
    "existing_roof": "roof of the house",
    "existing_eave_height_m": "height of the house's eave",
    "building_year": "year the house was built",
    "overhead_line": "whether an overhead line is near",
    "overhead_line_distance_m": "distance to the overhead line",
    "overhead_line_kv": "voltage of the overhead line",
    "ground": "what the work stands on",
    "slab_slope_pct": "slope of the ground",
    "access": "way in for long pieces",
    "carry_distance_m": "distance carried from the truck",
    "neighbour_distance_m": "distance to the nearest boundary",
    "near_traffic": "whether traffic passes by",
    "occupied": "whether people live there during the work",
    "children_or_pets": "whether children or pets are about",
    "buried_services_known": "whether buried services have been found",
    "power_on_site": "whether there is power on site",
    "water_on_site": "whether there is water on site",
    "fascia_is_metal": "whether the fascia is metal",
    "state": "place",
    "yard_distance_km": "distance from the yard",
    "drive_minutes": "minutes to drive there",
}
_SITE_WORSE = {
    "existing_eave_height_m": Worse.MORE,
    "overhead_line_distance_m": Worse.LESS,
    "overhead_line_kv": Worse.MORE,
    "slab_slope_pct": Worse.MORE,
    "carry_distance_m": Worse.MORE,
    "neighbour_distance_m": Worse.LESS,
    "drive_minutes": Worse.MORE,
}
_DIMENSION_WORSE = {
    *("length_m", "projection_m", "clear_height_m", "deck_height_m"),
    *("pitch_deg", "gable_bay_pitch_deg", "footing_depth_m"),
}


def _plain(name: str) -> str:
    ending = next((e for e in _UNITS_BY_ENDING if name.endswith(e)), "")
    return name.removesuffix(ending).replace("_", " ")


def _site() -> tuple[FactSpec, ...]:
    return tuple(
        _spec(
            f"site.{field.name}",
            _SITE_LABELS.get(field.name, _plain(field.name)),
            _SITE_WORSE.get(field.name, Worse.NEITHER),
        )
        for field in fields(SiteFacts)
    )


def _dimensions() -> tuple[FactSpec, ...]:
    return tuple(
        _spec(
            f"dimensions.{field.name}",
            _plain(field.name),
            Worse.MORE if field.name in _DIMENSION_WORSE else Worse.NEITHER,
        )
        for field in fields(Dimensions)
    )


# Not a field of Dimensions: the facts of a job look it up in the sections table.
_LOOKED_UP = (_spec("dimensions.sheet_material", "material of the roof sheets"),)


def _quantities() -> tuple[FactSpec, ...]:
    return tuple(
        FactSpec(f"quantities.{key}", name[:1].lower() + name[1:], unit, Worse.MORE)
        for key, (name, unit) in QUANTITIES.items()
    )


FACTS: Mapping[str, FactSpec] = {
    spec.name: spec
    for spec in (
        *(*_TASK, *_JOB, *_EXPOSURE, *_site(), *_dimensions()),
        *(*_LOOKED_UP, *_quantities()),
    )
}
TASK_ONLY = ("task.", "exposure.")  # facts that a line of the whole job cannot ask for


def fact_spec(name: str) -> FactSpec | None:
    """The fact of that name, None when there is none."""
    return FACTS.get(name)


def unit_of(name: str) -> str:
    """The unit of a fact, empty when it has none or is not known."""
    return FACTS[name].unit if name in FACTS else ""
