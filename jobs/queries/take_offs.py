"""A take-off as a page shows it: no zeros, set-out in millimetres, posts in a table."""

from collections.abc import Sequence
from dataclasses import dataclass

from jobs.domain.takeoff import Piece, Quantity, SetOut, TakeOff

_CUT, _PROP = "post_cut_length_", "prop_height_"
THIN = "\u202f"  # narrow space between thousands, as on a drawing


@dataclass(frozen=True, slots=True)
class Figure:
    """A figure to set out by, as it is read off a tape."""

    name: str
    amount: str
    unit: str
    how: str


@dataclass(frozen=True, slots=True)
class PostRow:
    """One post: what it is cut to, and what its prop stands at."""

    label: str
    cut: str
    prop: str
    how: str


@dataclass(frozen=True, slots=True)
class TakeOffView:
    """The parts of a take-off in the order a page has them."""

    figures: tuple[Figure, ...]
    posts: tuple[PostRow, ...]
    quantities: tuple[Quantity, ...]
    pieces: tuple[Piece, ...]  # the heaviest first
    warnings: tuple[str, ...]


def take_off_view(take_off: TakeOff) -> TakeOffView:
    """Everything to show. No queries."""
    by_key = {item.key: item for item in take_off.set_out}
    labels = [k.removeprefix(_CUT) for k in by_key if k.startswith(_CUT)]
    figures = [
        _figure(item)
        for item in take_off.set_out
        if not item.key.startswith((_CUT, _PROP))
    ]
    return TakeOffView(
        figures=tuple(figures),
        posts=tuple(_post(by_key, label) for label in labels),
        quantities=tuple(
            q for q in take_off.quantities.values() if q.value and q.key != "job"
        ),
        pieces=_heaviest_first(take_off.pieces),
        warnings=take_off.warnings,
    )


def _heaviest_first(pieces: Sequence[Piece]) -> tuple[Piece, ...]:
    return tuple(sorted(pieces, key=lambda p: (-p.mass_kg, p.name, -p.length_m)))


def _figure(item: SetOut) -> Figure:
    amount, unit = as_taped(item.value, item.unit)
    return Figure(item.name, amount, unit, item.how)


def _post(by_key: dict[str, SetOut], label: str) -> PostRow:
    cut, prop = by_key[f"{_CUT}{label}"], by_key.get(f"{_PROP}{label}")
    return PostRow(
        label=label,
        cut=as_taped(cut.value, cut.unit)[0],
        prop=as_taped(prop.value, prop.unit)[0] if prop else "",
        how=cut.how,
    )


def as_taped(value: float, unit: str) -> tuple[str, str]:
    """Metres as whole millimetres, which is what a tape shows; others as they are."""
    if unit in {"m", "mm"}:
        millimetres = value * 1000 if unit == "m" else value
        return f"{millimetres:,.0f}".replace(",", THIN), "mm"
    return f"{value:.1f}".removesuffix(".0"), unit
