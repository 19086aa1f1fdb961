"""The whole hazard library as one text that people can keep, and back into its files.

Each file begins with a line such as ``--- # falls.yaml`` and follows as it is, so a text
that goes out comes back letter by letter. What stands above the first such line is for
people and is not read.
"""

import re
from collections.abc import Mapping
from dataclasses import dataclass, replace

from jobs.domain.yaml_lines import Fault, LibraryError

_LINE = re.compile(r"[^\n]*\n|[^\n]+")
_MARK = re.compile(r"---[ \t]*#[ \t]*([a-z0-9][a-z0-9_-]*)\.yaml\s*")
_HOW = "begin each file with a line such as “--- # falls.yaml”."


@dataclass(frozen=True, slots=True)
class Part:
    """One file of the library, and how many lines stand above it in the whole text."""

    text: str
    above: int

    @property
    def in_place(self) -> str:
        """The text on the lines it has in the whole, so that faults name those."""
        return "\n" * self.above + self.text


def bundled(texts: Mapping[str, str], head: str = "") -> str:
    """Every file in one text; ``head`` is a sentence for people, one line.

    A file that does not end with a line break gets one.
    """
    lines = [f"# {head}\n"] if head else []
    for key, text in sorted(texts.items()):
        end = "" if not text or text.endswith("\n") else "\n"
        lines.append(f"--- # {key}.yaml\n{text}{end}")
    return "".join(lines)


def unbundled(text: str, filename: str) -> Mapping[str, Part]:
    """The files by key. LibraryError when a line is in no file, or a file comes twice."""
    found: dict[str, Part] = {}
    faults: list[Fault] = []
    key = ""
    for number, line in enumerate(_LINE.findall(text), start=1):
        mark = _MARK.fullmatch(line)
        if mark:
            key = mark[1]
            if key in found:
                says = f"“{key}.yaml” is there twice."
                faults.append(Fault(filename, number, says))
            found[key] = Part("", number)
        elif key:
            found[key] = replace(found[key], text=found[key].text + line)
        elif line.partition("#")[0].strip():
            raise LibraryError([Fault(filename, number, _HOW)])
    if not found:
        faults.append(Fault(filename, 1, _HOW))
    if faults:
        raise LibraryError(faults)
    return found
