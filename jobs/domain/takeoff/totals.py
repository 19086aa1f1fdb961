"""What is summed over the cutting list: cuts, masses, and the heaviest lift."""

from collections.abc import Iterable

from jobs.domain.sections import Material, Sections
from jobs.domain.takeoff.model import Piece, Quantity
from jobs.domain.takeoff.parts import quantity, times
from jobs.domain.takeoff.trade import CUTS_PER_PIECE

_FRAME = frozenset(
    {"post", "beam", "house_bearer", "rafter", "tie", "ridge", "purlin"}
    | {"joist", "deck_bearer", "stump"}
)
_TRIM = frozenset(
    {"gutter", "box_gutter", "downpipe", "ridge_cap", "barge_cap", "flashing"}
)


def totals(pieces: Iterable[Piece], sections: Sections) -> tuple[Quantity, ...]:
    """Quantities over all pieces."""
    lines = tuple(pieces)
    return (
        _cuts("steel_cut_count", Material.STEEL, lines, sections),
        _cuts("timber_cut_count", Material.TIMBER, lines, sections),
        _trims(lines),
        *_masses(lines),
    )


def _cuts(
    key: str, material: Material, lines: tuple[Piece, ...], sections: Sections
) -> Quantity:
    """Rafters of a gable count once more: they are cut plumb at both ends."""
    of_material = [
        line
        for line in lines
        if line.key in CUTS_PER_PIECE and sections[line.section].material is material
    ]
    has_ridge = any(line.key == "ridge" for line in lines)
    total, says = 0, []
    for line in of_material:
        each = CUTS_PER_PIECE[line.key] + (line.key == "rafter" and has_ridge)
        total += line.count * each
        says.append(f"{line.name.lower()} {line.count} × {each}")
    return quantity(key, total, "; ".join(says) + "." if says else "None of it.")


def _trims(lines: tuple[Piece, ...]) -> Quantity:
    trimmed = [line for line in lines if line.key in _TRIM]
    outlets = sum(line.count for line in trimmed if line.key == "downpipe")
    total = sum(line.count for line in trimmed) + outlets
    return quantity(
        "trim_cut_count",
        total,
        f"One to each piece of gutter, cap, flashing and downpipe, and "
        f"{times(outlets, 'gutter outlet')}.",
    )


def _masses(lines: tuple[Piece, ...]) -> tuple[Quantity, ...]:
    frame = sum(p.count * p.mass_kg for p in lines if p.key in _FRAME)
    sheets = sum(p.count * p.mass_kg for p in lines if p.key == "sheet")
    total = sum(p.count * p.mass_kg for p in lines)
    heaviest = max(lines, key=lambda p: p.mass_kg)
    longest = max(lines, key=lambda p: p.length_m)
    return (
        quantity("frame_mass", frame, _mass_how(p for p in lines if p.key in _FRAME)),
        quantity("sheet_mass", sheets, _mass_how(p for p in lines if p.key == "sheet")),
        quantity(
            "load_mass", total, "All lines of the cutting list; fixings left out."
        ),
        quantity("load_line_count", len(lines), "Lines of the cutting list."),
        quantity(
            "frame_piece_count",
            sum(p.count for p in lines if p.key in _FRAME),
            "Posts, beams, rafters, ties, ridge, purlins, bearers and joists.",
        ),
        quantity("heaviest_piece_mass", heaviest.mass_kg, _piece_how(heaviest)),
        quantity("longest_piece_length", longest.length_m, _piece_how(longest)),
    )


def heaviest_lift(lifts: Iterable[Piece]) -> Quantity:
    """The heaviest thing lifted as one, whether a piece or an assembly."""
    heaviest = max(lifts, key=lambda piece: piece.mass_kg)
    return quantity("heaviest_lift_mass", heaviest.mass_kg, _piece_how(heaviest))


def _mass_how(lines: Iterable[Piece]) -> str:
    says = "; ".join(
        f"{line.name.lower()} {line.count} × {line.mass_kg:.1f} kg" for line in lines
    )
    return f"{says}. Typical masses; the docket wins."


def _piece_how(piece: Piece) -> str:
    return f"{piece.name}, {piece.length_m:.3f} m, {piece.mass_kg:.1f} kg."
