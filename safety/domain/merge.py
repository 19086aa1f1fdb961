"""Bring a newer shipped library together with the firm's edits, part by part.

Three libraries meet: ``base``, the shipped one that the firm's was made from; ``ours``,
the firm's; ``theirs``, the newer shipped one. Each hazard, each control and each of their
parts is a *spot*. A spot that one side left alone takes what the other side says; a spot
that both changed, to different things, is a conflict, and somebody decides it. So no edit
is lost without being shown.

The order of hazards and of controls is no spot: the firm's stays unless the shipped one
changed, and then the firm's own additions are put behind what they stood behind.
"""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field, fields, replace
from enum import StrEnum
from typing import Any, Generic, TypeVar

from safety.domain.library import Control, Hazard, HazardLibrary

T = TypeVar("T", Hazard, Control)

_APART = {"key", "controls"}  # what is no part of its own


class Side(StrEnum):
    """Whose word counts at a spot."""

    OURS = "ours"
    THEIRS = "theirs"


@dataclass(frozen=True, slots=True, order=True)
class Spot:
    """A place in a library: a hazard, one of its controls, or a part of either.

    ``part`` is the name of a field, empty for the whole hazard or control.
    """

    hazard: str
    control: str = ""
    part: str = ""

    @property
    def name(self) -> str:
        """The spot as one word, for a form."""
        return f"{self.hazard}.{self.control}.{self.part}"


@dataclass(frozen=True, slots=True)
class Difference:
    """A spot with what stood there and what stands there now; None for nothing."""

    spot: Spot
    before: Any
    after: Any


@dataclass(frozen=True, slots=True)
class Conflict:
    """A spot that both sides changed, each in its own way; None for nothing."""

    spot: Spot
    base: Any
    ours: Any
    theirs: Any


@dataclass(frozen=True, slots=True)
class Merged:
    """What came of a merge.

    ``taken`` are changes of the shipped library that come in, ``kept`` those of the firm
    that stay where the shipped one has something else. ``open`` are the conflicts that
    nobody has decided; at those ``library`` says what the firm said.
    """

    library: HazardLibrary
    taken: tuple[Difference, ...]
    kept: tuple[Difference, ...]
    open: tuple[Conflict, ...]


def merge(
    base: HazardLibrary,
    ours: HazardLibrary,
    theirs: HazardLibrary,
    decided: Mapping[Spot, Side] | None = None,
) -> Merged:
    """The firm's library with the changes of the shipped one brought in.

    ``decided`` says whose word counts at conflicts. The answer may break a rule of the
    library (two clean changes can do so together): read it again before it is kept.
    """
    table = _Table(decided or {})
    hazards = table.all_of(
        _Three(base.hazards, ours.hazards, theirs.hazards),
        Spot,
        table.hazard,
    )
    library = HazardLibrary(hazards)
    return Merged(
        library=library,
        taken=tuple(differences(ours, library)),
        kept=tuple(differences(theirs, library)),
        open=tuple(table.open),
    )


def differences(old: HazardLibrary, new: HazardLibrary) -> Iterator[Difference]:
    """Every spot at which two libraries differ, the largest that tells it."""
    before, after = old.by_key(), new.by_key()
    for key in dict.fromkeys((*after, *before)):
        one, two = before.get(key), after.get(key)
        if one is None or two is None:
            yield Difference(Spot(key), one, two)
        elif one != two:
            yield from _inside(one, two)


def _inside(old: Hazard, new: Hazard) -> Iterator[Difference]:
    yield from _parts(Spot(old.key), old, new)
    before = {control.key: control for control in old.controls}
    after = {control.key: control for control in new.controls}
    for key in dict.fromkeys((*after, *before)):
        spot = Spot(old.key, key)
        one, two = before.get(key), after.get(key)
        if one is None or two is None:
            yield Difference(spot, one, two)
        else:
            yield from _parts(spot, one, two)


def _parts(spot: Spot, old: T, new: T) -> Iterator[Difference]:
    for name in _names(old):
        before, after = getattr(old, name), getattr(new, name)
        if before != after:
            yield Difference(replace(spot, part=name), before, after)


def _names(thing: Hazard | Control) -> list[str]:
    return [field.name for field in fields(thing) if field.name not in _APART]


@dataclass(frozen=True, slots=True)
class _Three(Generic[T]):
    """The same list in three libraries."""

    base: Sequence[T]
    ours: Sequence[T]
    theirs: Sequence[T]

    def of(self, key: str) -> tuple[T | None, T | None, T | None]:
        base, ours, theirs = (
            next((one for one in side if one.key == key), None)
            for side in (self.base, self.ours, self.theirs)
        )
        return base, ours, theirs

    def order(self) -> tuple[str, ...]:
        """Every key, in the order that the merge gives them."""
        base, ours, theirs = (
            tuple(one.key for one in side)
            for side in (self.base, self.ours, self.theirs)
        )
        if theirs == base:
            return _with(ours, theirs)
        return _with(theirs, ours)


def _with(order: Sequence[str], more: Sequence[str]) -> tuple[str, ...]:
    """``order`` with the keys of ``more`` that it lacks, each behind its predecessor."""
    found = list(order)
    place = 0
    for key in more:
        if key in found:
            place = found.index(key) + 1
        else:
            found.insert(place, key)
            place += 1
    return tuple(found)


@dataclass(slots=True)
class _Table:
    """Where the three are laid side by side; collects what is not decided."""

    decided: Mapping[Spot, Side]
    open: list[Conflict] = field(default_factory=list)

    def all_of(self, three: "_Three[T]", at: Any, together: Any) -> tuple[T, ...]:
        found = (self._one(at(key), three.of(key), together) for key in three.order())
        return tuple(one for one in found if one is not None)

    def _one(self, spot: Spot, three: tuple[Any, Any, Any], together: Any) -> Any:
        _, ours, theirs = three
        if ours is not None and theirs is not None:
            return together(spot, *three)
        return self.value(spot, *three)

    def value(self, spot: Spot, base: Any, ours: Any, theirs: Any) -> Any:
        """What counts at a spot; the firm's word where it is a conflict not decided."""
        if theirs in (ours, base):
            return ours
        if ours == base:
            return theirs
        side = self.decided.get(spot)
        if side is None:
            self.open.append(Conflict(spot, _known(base), ours, theirs))
        return theirs if side is Side.THEIRS else ours

    def hazard(self, spot: Spot, base: Any, ours: Hazard, theirs: Hazard) -> Hazard:
        """Two hazards of the same key, part by part and control by control."""
        controls = self.all_of(
            _Three(base.controls if base else (), ours.controls, theirs.controls),
            lambda key: Spot(spot.hazard, key),
            self._parts,
        )
        return replace(self._parts(spot, base, ours, theirs), controls=controls)

    def _parts(self, spot: Spot, base: Any, ours: T, theirs: T) -> T:
        values = {
            name: self.value(
                replace(spot, part=name),
                getattr(base, name, _NOTHING),
                getattr(ours, name),
                getattr(theirs, name),
            )
            for name in _names(ours)
        }
        return replace(ours, **values)


_NOTHING = object()  # what a part was before there was such a hazard


def _known(base: Any) -> Any:
    return None if base is _NOTHING else base
