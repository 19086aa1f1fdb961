"""The firm's hazard library: what is in it, how it differs, what waits to come in."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property

from jobs.domain.chain import digest_of
from jobs.domain.yaml_lines import LibraryError
from jobs.library import shipped, task_kinds, text_digest, tools
from jobs.models import LibraryText
from safety.domain.library import Control, Hazard, HazardLibrary
from safety.domain.library_words import spot_words, value_words
from safety.domain.library_writer import hazard_yaml
from safety.domain.merge import (
    Conflict,
    Difference,
    Merged,
    Side,
    Spot,
    differences,
    merge,
)
from safety.library import KIND, packs, placed, theme_of

NOTHING = HazardLibrary(())


@dataclass(frozen=True)
class FirmLibrary:
    """The hazard library of the firm as it stands, beside what was shipped."""

    texts: Mapping[str, str]
    bases: Mapping[str, str]  # the shipped texts that they were made from
    shipped_digests: Mapping[str, str]

    @cached_property
    def hazards(self) -> HazardLibrary:
        """Every hazard, its file for a theme."""
        return placed(self.texts)

    @cached_property
    def base(self) -> HazardLibrary:
        """What was shipped and the firm's library was made from, as far as it is kept."""
        found: list[Hazard] = []
        for key, text in self.bases.items():
            try:
                found += placed({key: text}).hazards if text else ()
            except LibraryError:  # words that an older release knew
                continue
        return HazardLibrary(tuple(found))

    @cached_property
    def shipped_keys(self) -> frozenset[str]:
        """Hazards that the firm may switch off but not take away."""
        return frozenset(self.base.by_key())

    @cached_property
    def themes(self) -> Mapping[str, str]:
        """The theme of each file."""
        return {key: theme_of(key, text) for key, text in self.texts.items()}

    @property
    def digest(self) -> str:
        """A name for all of it, so that a later look can tell whether it changed."""
        return digest_of({key: text_digest(text) for key, text in self.texts.items()})


def firm_library() -> FirmLibrary:
    """The library as it stands. One query."""
    rows = LibraryText.objects.filter(kind=KIND).order_by("key")
    return FirmLibrary(
        texts={row.key: row.text for row in rows},
        bases={row.key: row.shipped_text for row in rows},
        shipped_digests={row.key: row.shipped_digest for row in rows},
    )


def hazard_digest(hazard: Hazard) -> str:
    """A name for a hazard as it stands, so that an edit knows what it was made on."""
    return text_digest(hazard_yaml(hazard))


def names() -> Mapping[str, str]:
    """Kinds of step, tools and places by key, in words."""
    return {
        **{key: kind.name.lower() for key, kind in task_kinds().items()},
        **{key: tool.name for key, tool in tools().items()},
        **{key: pack.name for key, pack in packs().items()},
    }


@dataclass(frozen=True, slots=True)
class HazardRow:
    """One hazard in a list."""

    hazard: Hazard
    theme: str
    standing: str  # "shipped", "changed", "own" or "off"


def standing(hazard: Hazard, library: FirmLibrary) -> str:
    """Whether a hazard is as it was shipped, changed, the firm's own, or off."""
    if hazard.off:
        return "off"
    shipped_one = library.base.by_key().get(hazard.key)
    if shipped_one is None:
        return "own"
    return "shipped" if shipped_one == hazard else "changed"


def hazard_rows(
    library: FirmLibrary, *, theme: str = "", state: str = "", words: str = ""
) -> list[HazardRow]:
    """Hazards of a file, of a standing, that hold some words. No query."""
    rows = (
        HazardRow(hazard, library.themes[hazard.theme], standing(hazard, library))
        for hazard in library.hazards.hazards
        if theme in ("", hazard.theme)
    )
    return [
        row
        for row in rows
        if state in ("", row.standing) and _holds(row.hazard, words.casefold())
    ]


def _holds(hazard: Hazard, words: str) -> bool:
    texts = (hazard.name.text, hazard.harm, *(c.text.text for c in hazard.controls))
    return any(words in text.casefold() for text in texts)


@dataclass(frozen=True, slots=True)
class Told:
    """A difference in words: where, what stood there, what stands there now."""

    where: str
    before: str
    after: str


def told(found: Sequence[Difference], *sides: HazardLibrary) -> list[Told]:
    """Differences in words; ``sides`` are the libraries in which spots are looked up."""
    words = names()
    return [
        Told(
            _where(one.spot, sides),
            value_words(one.before, words),
            value_words(one.after, words),
        )
        for one in found
    ]


def changes_from_shipped(hazard: Hazard, library: FirmLibrary) -> list[Told]:
    """What the firm changed of a shipped hazard. No query."""
    before = library.base.by_key().get(hazard.key)
    if before is None:
        return []
    old, new = HazardLibrary((before,)), HazardLibrary((hazard,))
    return told(list(differences(old, new)), new, old)


def _where(spot: Spot, sides: Sequence[HazardLibrary]) -> str:
    hazard: Hazard | None = None
    control: Control | None = None
    for side in sides:
        found = side.by_key().get(spot.hazard)
        hazard = hazard or found
        inside = found.controls if found else ()
        control = control or next((c for c in inside if c.key == spot.control), None)
    return spot_words(spot, hazard, control)


@dataclass(frozen=True, slots=True)
class Choice:
    """A conflict in words, with the name under which a form decides it."""

    name: str
    where: str
    base: str
    ours: str
    theirs: str


@dataclass(frozen=True)
class Update:
    """A shipped library that is newer than the one the firm's was made from."""

    library: FirmLibrary
    texts: Mapping[str, str]  # as shipped now

    @cached_property
    def hazards(self) -> HazardLibrary:
        """As shipped now."""
        return placed(self.texts)

    @property
    def digest(self) -> str:
        """A name for both sides, so that a decision is about what was seen."""
        theirs = {key: text_digest(text) for key, text in self.texts.items()}
        return digest_of([self.library.digest, theirs])

    def merged(self, decided: Mapping[Spot, Side] | None = None) -> Merged:
        """The two together."""
        mine = self.library
        return merge(mine.base, mine.hazards, self.hazards, decided)

    def choices(self, found: Sequence[Conflict]) -> list[Choice]:
        """Conflicts in words."""
        words = names()
        sides = (self.library.hazards, self.hazards, self.library.base)
        return [
            Choice(
                one.spot.name,
                _where(one.spot, sides),
                *(value_words(v, words) for v in (one.base, one.ours, one.theirs)),
            )
            for one in found
        ]


def waiting_update(library: FirmLibrary) -> Update | None:
    """The shipped library, where it has something newer than the firm's was made from."""
    texts = {item.key: item.text for item in shipped() if item.kind == KIND}
    known = library.shipped_digests
    if all(known.get(key) == text_digest(text) for key, text in texts.items()):
        return None
    return Update(library, texts)
