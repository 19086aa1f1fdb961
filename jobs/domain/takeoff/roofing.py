"""Roof areas, sheets, caps and flashings."""

import math
from dataclasses import dataclass

from jobs.domain.layout import Layout, Plane
from jobs.domain.layout.planes import even, whole_to_cover
from jobs.domain.sections import Section, Sections
from jobs.domain.takeoff.model import Piece, Quantity
from jobs.domain.takeoff.parts import (
    Part,
    added,
    metres,
    quantity,
    stock_pieces,
    times,
)
from jobs.domain.takeoff.trade import (
    CAP_RIVET_SPACING_M,
    SHEET_END_LAP_M,
    TRIM_FROM_M,
)


@dataclass(frozen=True, slots=True)
class Sheeting:
    """The sheets of one plane: side by side, and lapped where one is not long enough."""

    plane: Plane
    across: int
    lengths_down: int
    sheet_length_m: float
    cover_m: float

    @property
    def count(self) -> int:
        """All sheets of the plane."""
        return self.across * self.lengths_down

    @property
    def trim_m(self) -> float:
        """Length of the lengthwise cut of the last sheet; 0 when none is needed."""
        over = self.across * self.cover_m - self.plane.eave_m
        return self.plane.slope_m if over > TRIM_FROM_M else 0.0

    def how(self) -> str:
        """The working of the count, in words and numbers."""
        eave, cover = self.plane.eave_m, self.cover_m
        says = (
            f"{self.plane.name}: {metres(eave)} / {metres(cover)} cover = "
            f"{eave / cover:.1f}, so {times(self.across, 'sheet')}"
        )
        if self.lengths_down > 1:
            says += f", each in {self.lengths_down} lengths"
        return says


def sheeting(plane: Plane, cover_m: float, section: Section) -> Sheeting:
    """Sheets across the eave by their cover; down the slope by the longest sold."""
    usable = section.stock_max_m - SHEET_END_LAP_M
    down = whole_to_cover(plane.slope_m - SHEET_END_LAP_M, usable)
    length = (plane.slope_m + (down - 1) * SHEET_END_LAP_M) / down
    across = whole_to_cover(plane.eave_m, cover_m)
    return Sheeting(plane, across, down, length, cover_m)


def roofing(layout: Layout, sections: Sections) -> Part:
    """Areas and sheets."""
    dims = layout.dimensions
    section = sections[dims.sheet_profile]
    runs = [sheeting(plane, dims.sheet_cover_m, section) for plane in layout.planes]
    pieces = tuple(_sheet_piece(run, section, layout) for run in runs)
    count = sum(run.count for run in runs)
    total = sum(run.count * run.sheet_length_m for run in runs)
    longest = max(runs, key=lambda run: run.sheet_length_m)
    return Part(
        quantities=(
            *_areas(layout),
            quantity("sheet_count", count, added(run.how() for run in runs)),
            quantity("sheet_length", longest.sheet_length_m, _length_how(longest)),
            quantity("sheet_total_length", total, _total_how(runs)),
            quantity(
                "sheet_cut_count", sum(run.trim_m > 0 for run in runs), _trim_how(runs)
            ),
            quantity(
                "sheet_cut_length", sum(run.trim_m for run in runs), _trim_how(runs)
            ),
        ),
        pieces=pieces,
    )


def caps(layout: Layout, sections: Sections) -> Part:
    """Ridge and barge caps, flashings, gable infill, and the sealant under them."""
    ridge = [member.length_m for member in layout.ridges]
    barge = [member.length_m for member in layout.barges]
    flashing = [member.length_m for member in layout.flashings]
    infill = [span * rise / 2 for span, rise in layout.gable_ends]
    top = max(plane.high_z_m for plane in layout.planes) - layout.low_floor_z_m
    capped = sum(ridge) + sum(barge) + sum(flashing)
    return Part(
        quantities=(
            quantity("barge_length", sum(barge), _sum_how(barge)),
            quantity("flashing_length", sum(flashing), _sum_how(flashing)),
            quantity("gable_infill_area", sum(infill), _infill_how(layout)),
            quantity("sealant_length", capped, _sealant_how(capped)),
            quantity("rivet_count", _rivets(capped), _rivets_how(capped)),
        ),
        pieces=(
            *stock_pieces("ridge_cap", sections["cap_steel_ridge"], ridge, top),
            *stock_pieces("barge_cap", sections["cap_steel_barge"], barge, top),
            *stock_pieces("flashing", sections["flashing_steel"], flashing, top),
        ),
    )


def roof_screws(layout: Layout, sections: Sections) -> tuple[int, str]:
    """Screws across each sheet at each purlin, as the sheet's row of the table says."""
    dims = layout.dimensions
    section = sections[dims.sheet_profile]
    total, says = 0, []
    for plane in layout.planes:
        across = sheeting(plane, dims.sheet_cover_m, section).across
        rows = len(even(plane.slope_m, dims.purlin_spacing_max_m))
        total += across * rows * section.screws_per_purlin
        says.append(
            f"{plane.name}: {times(across, 'sheet')} × {times(rows, 'purlin row')} "
            f"× {section.screws_per_purlin}"
        )
    return total, added(says)


def _areas(layout: Layout) -> tuple[Quantity, ...]:
    plan = [plane.run_m * plane.eave_m for plane in layout.planes]
    slope = [plane.slope_m * plane.eave_m for plane in layout.planes]
    return (
        quantity("roof_plan_area", sum(plan), _area_how(layout.planes, "in plan")),
        quantity("roof_slope_area", sum(slope), _slope_how(layout.planes)),
    )


def _area_how(planes: tuple[Plane, ...], where: str) -> str:
    return added(
        f"{p.name}: {metres(p.eave_m)} × {metres(p.run_m)} {where}" for p in planes
    )


def _slope_how(planes: tuple[Plane, ...]) -> str:
    return added(
        f"{p.name}: {metres(p.eave_m)} × {metres(p.run_m)} / cos {p.pitch_deg:g}° "
        f"= {p.slope_m * p.eave_m:.2f} m2"
        for p in planes
    )


def _sheet_piece(run: Sheeting, section: Section, layout: Layout) -> Piece:
    return Piece(
        key="sheet",
        name=_sheet_name(run.plane),
        section=section.key,
        count=run.count,
        length_m=round(run.sheet_length_m, 3),
        mass_kg=round(section.kg_per_m2 * run.cover_m * run.sheet_length_m, 3),
        top_m=round(run.plane.high_z_m - layout.low_floor_z_m, 3),
    )


def _sheet_name(plane: Plane) -> str:
    return "Roof sheet" if plane.name == "roof" else f"Roof sheet, {plane.name}"


def _length_how(run: Sheeting) -> str:
    plane = run.plane
    says = (
        f"Run {metres(plane.run_m)} / cos {plane.pitch_deg:g}° = {plane.slope_m:.3f} m"
    )
    if run.lengths_down > 1:
        lap = math.ceil(SHEET_END_LAP_M * 1000)
        says += f", in {run.lengths_down} lengths with end laps of {lap} mm"
    return f"{says}. Measure on site before ordering."


def _total_how(runs: list[Sheeting]) -> str:
    return added(f"{run.count} × {run.sheet_length_m:.3f} m" for run in runs)


def _trim_how(runs: list[Sheeting]) -> str:
    trimmed = [run for run in runs if run.trim_m]
    if not trimmed:
        return "The sheets fit the eave without trimming."
    return added(
        f"{run.plane.name}: {run.across} × {metres(run.cover_m)} = "
        f"{metres(run.across * run.cover_m)} over an eave of "
        f"{metres(run.plane.eave_m)}, so the last sheet is cut down its length, "
        f"{metres(run.trim_m)}"
        for run in trimmed
    )


def _sum_how(lengths: list[float]) -> str:
    return " + ".join(metres(length) for length in lengths) + "." if lengths else ""


def _infill_how(layout: Layout) -> str:
    return added(
        f"span {metres(span)} × rise {metres(rise)} / 2"
        for span, rise in layout.gable_ends
    )


def _sealant_how(capped: float) -> str:
    return f"One bead along {metres(capped)} of caps and flashings."


def _rivets(capped: float) -> int:
    return 2 * math.ceil(capped / CAP_RIVET_SPACING_M - 1e-9)


def _rivets_how(capped: float) -> str:
    return (
        f"{metres(capped)} of caps and flashings, both edges, one every "
        f"{metres(CAP_RIVET_SPACING_M)} (common practice)."
    )
