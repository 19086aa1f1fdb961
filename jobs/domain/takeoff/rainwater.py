"""Gutters, their fall and brackets, and downpipes."""

from jobs.domain.layout import Gutter, GutterKind, Layout
from jobs.domain.layout.planes import even, whole_to_cover
from jobs.domain.sections import Sections
from jobs.domain.takeoff.model import SetOut
from jobs.domain.takeoff.parts import (
    Part,
    added,
    metres,
    quantity,
    stock_pieces,
    sum_by_length,
    times,
)
from jobs.domain.takeoff.trade import (
    BOX_GUTTER_FALL_ONE_IN,
    EAVES_GUTTER_FALL_ONE_IN,
    GUTTER_BRACKET_SPACING_M,
    GUTTER_PER_DOWNPIPE_M,
)


def gutter_fall_mm(length_m: float, one_in: float = EAVES_GUTTER_FALL_ONE_IN) -> float:
    """Least fall of a gutter over a length: length ÷ 500 for eaves gutters.

    Source: NCC 2019 Volume Two 3.5.3, eaves gutter at least 1:500, box gutter 1:100.
    """
    return length_m / one_in * 1000


def downpipes_for(length_m: float) -> int:
    """Downpipes for one run of eaves gutter, each serving at most 12 m.

    Source: NCC 2019 Volume Two 3.5.3.
    """
    return whole_to_cover(length_m, GUTTER_PER_DOWNPIPE_M)


def brackets_for(length_m: float) -> int:
    """Brackets at both stop ends and at most 1.2 m apart. Source: the same, second hand."""
    return len(even(length_m, GUTTER_BRACKET_SPACING_M))


def rainwater(layout: Layout, sections: Sections) -> Part:
    """Gutters, brackets and downpipes of every run."""
    eaves = [g for g in layout.gutters if g.kind is GutterKind.EAVES]
    box = [g for g in layout.gutters if g.kind is GutterKind.BOX]
    lengths = [g.member.length_m for g in eaves]
    box_lengths = [g.member.length_m for g in box]
    drop = max(g.member.start.z_m for g in eaves) - layout.low_floor_z_m
    box_top = max((g.member.start.z_m - layout.low_floor_z_m for g in box), default=0.0)
    count = sum(_downpipes(g) for g in layout.gutters)
    return Part(
        quantities=(
            quantity("gutter_length", sum(lengths), sum_by_length(lengths)),
            quantity("box_gutter_length", sum(box_lengths), sum_by_length(box_lengths)),
            quantity(
                "gutter_bracket_count",
                sum(brackets_for(length) for length in lengths),
                added(_brackets_how(length) for length in lengths),
            ),
            quantity("downpipe_count", count, added(map(_pipes_how, layout.gutters))),
            quantity(
                "downpipe_total_length",
                count * drop,
                f"{times(count, 'downpipe')} × {metres(drop)} from gutter to floor.",
            ),
        ),
        pieces=(
            *stock_pieces("gutter", sections["gutter_steel_quad"], lengths, drop),
            *stock_pieces(
                "box_gutter", sections["gutter_steel_box"], box_lengths, box_top
            ),
            *stock_pieces("downpipe", sections["downpipe_steel"], [drop] * count, drop),
        ),
        set_out=tuple(
            _fall(number, g) for number, g in enumerate(layout.gutters, start=1)
        ),
    )


def _downpipes(gutter: Gutter) -> int:
    if gutter.kind is GutterKind.BOX:
        return 1
    return downpipes_for(gutter.member.length_m)


def _brackets_how(length: float) -> str:
    return (
        f"{metres(length)}: at both stop ends and at most "
        f"{metres(GUTTER_BRACKET_SPACING_M)} apart, {brackets_for(length)} brackets"
    )


def _pipes_how(gutter: Gutter) -> str:
    length, count = gutter.member.length_m, _downpipes(gutter)
    if gutter.kind is GutterKind.BOX:
        return f"box gutter {metres(length)}: 1 downpipe at its rainhead"
    return (
        f"{metres(length)} / {metres(GUTTER_PER_DOWNPIPE_M)} a downpipe at most = "
        f"{length / GUTTER_PER_DOWNPIPE_M:.2f}, so {times(count, 'downpipe')}"
    )


def _fall(number: int, gutter: Gutter) -> SetOut:
    one_in = (
        BOX_GUTTER_FALL_ONE_IN
        if gutter.kind is GutterKind.BOX
        else EAVES_GUTTER_FALL_ONE_IN
    )
    count = _downpipes(gutter)
    served = gutter.member.length_m / count
    return SetOut(
        f"gutter_fall_{number}",
        f"Fall of {gutter.kind} gutter, {gutter.member.name}",
        gutter_fall_mm(served, one_in),
        "mm",
        f"At least 1 in {one_in} over {metres(served)} to "
        f"{'its' if count == 1 else 'each'} downpipe.",
    )
