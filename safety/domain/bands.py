"""Which figures of a statement count for a signature, and how finely.

A crew signs on to hazards, controls and ratings, not to arithmetic: 63 hours of labour
that become 64 change nothing they do. So each computed figure counts either in steps
(a height by each begun 0.1 m, a noise by each begun 3 dB) or not at all. What a person
typed about the site or the structure, and every word, counts exactly. The steps are the
firm's decision: no law says from which change on a statement is another one.
"""

from collections.abc import Mapping
from decimal import ROUND_CEILING, Decimal

from safety.domain.conditions import FactValue
from safety.domain.fact_names import unit_of
from safety.domain.wording import shown_number

UNCOUNTED = "…"  # stands in a sentence for a figure that does not count

_TYPED = ("site.", "dimensions.")

# Step of a figure in its own unit, by unit; None: it does not count.
_BY_UNIT: Mapping[str, float | None] = {
    "m": 0.5,
    "kg": 5.0,
    "dB(A)": 3.0,  # twice the energy
    "m/s2": 0.5,
    "N": 50.0,
    "min": None,
    "m2": None,
    "m3": None,
}
_HEIGHT_M = 0.1
_EDGE_M = 1.0
# By fact, where its unit does not say it.
_BY_FACT: Mapping[str, float | None] = {
    "task.work_height_m": _HEIGHT_M,
    "job.max_work_height_m": _HEIGHT_M,
    "exposure.fall_height_m": _HEIGHT_M,
    "exposure.fall_clearance_m": _HEIGHT_M,
    "exposure.ladder_foot_out_m": 0.1,
    "exposure.lift_index": 0.5,
    "exposure.lift_together": 0.5,
    "exposure.hav_points": None,
    # what a day comes to moves with the hours of every step; the rating and the class of
    # protector that follow from it count
    "exposure.noise_day_dba": None,
    "exposure.hav_day_a8_ms2": None,
    "exposure.hav_day_points": None,
    "quantities.exposed_edge_height": _HEIGHT_M,
    "quantities.height_eave": _HEIGHT_M,
    "quantities.height_ridge": _HEIGHT_M,
    "quantities.height_beam": _HEIGHT_M,
    "quantities.height_platform": _HEIGHT_M,
    "quantities.height_house": _HEIGHT_M,
    "quantities.height_deck": _HEIGHT_M,
    "quantities.exposed_edge_length": _EDGE_M,
    "quantities.deck_edge_length": _EDGE_M,
    "quantities.guardrail_length": _EDGE_M,
    # how much there is of something: more work, not another hazard
    "quantities.load_mass": None,
    "quantities.sheet_mass": None,
    "quantities.frame_mass": None,
    "quantities.concrete_mass": None,
    "quantities.sheet_total_length": None,
    "quantities.sheet_cut_length": None,
    "quantities.sealant_length": None,
    "quantities.gutter_length": None,
    "task.lift_count": None,
    "task.quantity": None,
}
_EXACT_COUNTS = ("quantities.post_count", "quantities.footing_count")


def counted(fact: str, value: FactValue) -> FactValue:
    """The value as it counts: its step's upper end, or UNCOUNTED.

    Two values of a fact that are a whole step or more apart never count the same.
    """
    if isinstance(value, bool) or not isinstance(value, int | float):
        return value
    if fact.startswith(_TYPED) or fact in _EXACT_COUNTS:
        return value
    step = _step(fact)
    if step == 0:
        return value
    return UNCOUNTED if step is None else step_up(value, step, unit_of(fact))


def step_up(value: float, step: float, unit: str) -> float:
    """The upper end of the step that a figure lies in: 2.63 m by 0.1 m is 2.7.

    The figure is taken as it is shown: two that read the same count the same.
    """
    width = Decimal(str(step))
    figure = shown_number(value, unit).partition(" ")[0].replace(",", "")
    steps = (Decimal(figure) / width).to_integral_value(ROUND_CEILING)
    return float(steps * width)


def _step(fact: str) -> float | None:
    """Its step; None when it does not count, 0 when it counts exactly."""
    if fact in _BY_FACT:
        return _BY_FACT[fact]
    if fact.startswith("quantities.") and unit_of(fact) == "each":
        return None
    return _BY_UNIT.get(unit_of(fact), 0.0)
