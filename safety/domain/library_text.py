"""Change hazards inside a library text and leave every other line as it was."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from jobs.domain.yaml_lines import LibraryError, parse_yaml
from safety.domain.condition_files import Vocabulary
from safety.domain.library import Hazard
from safety.domain.library_files import load_library
from safety.domain.library_writer import hazard_yaml, library_yaml

_NAME = "library"


@dataclass(frozen=True, slots=True)
class _Laid:
    """The lines of a text: what stands before the hazards, each hazard, what follows."""

    head: str
    hazards: dict[str, str]
    tail: str
    indent: int


def rewritten(
    text: str, theme: str, wanted: Sequence[Hazard], words: Vocabulary
) -> str:
    """A text whose hazards are exactly ``wanted``, in that order.

    Lines of hazards that did not change stay, comments and all. Reading the answer gives
    ``wanted`` with that theme; where the layout of the old text does not allow that, the
    whole file is written anew.
    """
    hazards = [replace(hazard, theme=theme) for hazard in wanted]
    new = _spliced(text, hazards, words)
    if new is not None and _reads_as(new, hazards, words):
        return new
    return library_yaml(theme, hazards)


def _spliced(text: str, wanted: Sequence[Hazard], words: Vocabulary) -> str | None:
    try:
        old = load_library({_NAME: text}, words).by_key()
    except LibraryError:
        return None
    laid = _lay_out(text)
    if laid is None:
        return None
    return "".join(
        (laid.head, *(_segment(laid, old, hazard) for hazard in wanted), laid.tail)
    )


def _segment(laid: _Laid, old: Mapping[str, Hazard], hazard: Hazard) -> str:
    if hazard.key in old and old[hazard.key] == hazard:
        return laid.hazards[hazard.key]
    return hazard_yaml(hazard, laid.indent)


def _reads_as(text: str, wanted: Sequence[Hazard], words: Vocabulary) -> bool:
    try:
        return load_library({_NAME: text}, words).hazards == tuple(wanted)
    except LibraryError:
        return False


def _lay_out(text: str) -> _Laid | None:
    """The text by hazards; None when they do not each begin a line with a dash."""
    lines = [f"{line}\n" for line in text.removesuffix("\n").split("\n")]
    fields = parse_yaml(text, filename=_NAME).fields("theme", "hazards")
    items = fields.items("hazards")
    starts = [item.line - 1 for item in items]
    if not items or any(not lines[n].lstrip().startswith("- ") for n in starts):
        return None
    after = fields["theme"].line - 1  # the only other key may stand below
    end = _above_comments(lines, after) if after > starts[-1] else len(lines)
    ends = [*(_above_comments(lines, n) for n in starts[1:]), end]
    begins = [starts[0], *ends[:-1]]
    keys = [item.entries()["key"].text() for item in items]
    first = lines[starts[0]]
    return _Laid(
        head="".join(lines[: starts[0]]),
        hazards={
            key: "".join(lines[begin:stop])
            for key, begin, stop in zip(keys, begins, ends, strict=True)
        },
        tail="".join(lines[end:]),
        indent=len(first) - len(first.lstrip()),
    )


def _above_comments(lines: Sequence[str], line: int) -> int:
    """Comments and empty lines straight above a line belong to it."""
    while line > 0 and not lines[line - 1].partition("#")[0].strip():
        line -= 1
    return line
