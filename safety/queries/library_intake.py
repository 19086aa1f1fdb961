"""A hazard library that comes in from a file: what it would change, or what is wrong."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from jobs.domain.yaml_lines import Fault, LibraryError, parse_yaml
from safety.domain.library import HazardLibrary
from safety.domain.library_bundle import Part, unbundled
from safety.domain.library_files import load_library
from safety.domain.merge import Difference, differences
from safety.library import placed, rule_words
from safety.queries.library import NOTHING, FirmLibrary

EMPTY = "theme: {}\nhazards: []\n"


@dataclass(frozen=True, slots=True)
class Intake:
    """A file that was looked at: the texts it would leave, or its faults by line."""

    texts: Mapping[str, str]
    hazards: HazardLibrary
    faults: tuple[Fault, ...] = ()

    def changes(self, library: FirmLibrary) -> tuple[Difference, ...]:
        """What it adds, changes and takes away."""
        return tuple(differences(library.hazards, self.hazards))


def look_at(text: str, filename: str, library: FirmLibrary) -> Intake:
    """What a file would do to the library. No query."""
    try:
        parts = unbundled(text.replace("\r\n", "\n"), filename)
        _read_together(parts, filename)
    except LibraryError as error:
        return Intake({}, NOTHING, error.faults)
    texts = {key: part.text for key, part in parts.items()}
    for key in library.texts.keys() - texts.keys():
        texts[key] = EMPTY.format(library.themes[key])
    faults = (*_new_keys(parts, filename, library), *_gone(texts, filename, library))
    return Intake(texts, placed(texts), faults)


def _read_together(parts: Mapping[str, Part], filename: str) -> None:
    named = {f"{filename}, {key}": part.in_place for key, part in parts.items()}
    load_library(named, rule_words())


def _new_keys(
    parts: Mapping[str, Part], filename: str, library: FirmLibrary
) -> Iterator[Fault]:
    """Hazards that are new here and do not say that they are the firm's own."""
    known = library.hazards.by_key()
    for name, part in parts.items():
        root = parse_yaml(part.in_place, filename=f"{filename}, {name}")
        for node in root.entries()["hazards"].items():
            key = node.entries()["key"].text()
            if key not in known and not key.startswith("own_"):
                says = f"“{key}” is new: let its key begin with “own_”."
                yield Fault(node.filename, node.line, says)


def _gone(
    texts: Mapping[str, str], filename: str, library: FirmLibrary
) -> Iterator[Fault]:
    left = placed(texts).by_key()
    for key in sorted(library.shipped_keys & library.hazards.by_key().keys()):
        if key not in left:
            says = (
                f"“{key}” is missing. It was shipped, so it cannot be taken away: keep "
                'it and say why under "off".'
            )
            yield Fault(filename, 1, says)
