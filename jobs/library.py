"""The libraries: YAML text in the database, parsed once per text.

Texts are shipped in fixtures/ and may be edited by the firm. A text that the firm changed
is never overwritten by a newer shipped one; that of the hazards is merged with it.
"""

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from functools import lru_cache
from hashlib import sha256
from pathlib import Path
from typing import Any

from django.conf import settings
from django.utils.module_loading import import_string

from jobs.domain.method_files import parse_method
from jobs.domain.methods import Method
from jobs.domain.pack_files import load_packs
from jobs.domain.packs import Pack
from jobs.domain.refusals import Refused
from jobs.domain.sections import Sections, parse_sections
from jobs.domain.task_kinds import TaskKind, parse_task_kinds
from jobs.domain.ticket_kinds import TicketKind, parse_ticket_kinds
from jobs.domain.tools import Tool, parse_tools
from jobs.models import LibraryText

FIXTURES: Path = settings.BASE_DIR / "fixtures"
FOLDERS = {"method": "methods", "hazards": "hazards"}
NOT_METHODS = {"task_kinds"}  # tables that lie beside the methods


@dataclass(frozen=True, slots=True)
class Shipped:
    """One library file as shipped."""

    kind: str
    key: str
    text: str

    @property
    def name(self) -> str:
        """Kind and key, for people."""
        return f"{self.kind}: {self.key}"

    @property
    def digest(self) -> str:
        """SHA-256 of the text."""
        return text_digest(self.text)


def text_digest(text: str) -> str:
    """SHA-256 of a text, in hex."""
    return sha256(text.encode()).hexdigest()


def shipped() -> Iterator[Shipped]:
    """Every library file in fixtures/."""
    for kind, folder in FOLDERS.items():
        for path in sorted((FIXTURES / folder).glob("*.yaml")):
            if path.stem not in NOT_METHODS:
                yield Shipped(kind, path.stem, path.read_text(encoding="utf-8"))


@lru_cache(maxsize=16)
def table_text(name: str) -> str:
    """The text of a table that is shipped and not edited: tools, sections, kinds."""
    return (FIXTURES / name).read_text(encoding="utf-8")


def texts(kind: str) -> list[LibraryText]:
    """All texts of one kind, one query."""
    return list(LibraryText.objects.filter(kind=kind))


def parse(kind: str, key: str, text: str) -> Any:
    """Parse a library text by its kind. Raises LibraryError with file and line."""
    parser: Callable[[str, str], Any] = import_string(settings.LIBRARY_PARSERS[kind])
    return parser(key, text)


@lru_cache(maxsize=1)
def sections() -> Sections:
    """Sections with their typical masses."""
    return parse_sections(table_text("sections.yaml"), filename="sections.yaml")


@lru_cache(maxsize=1)
def tools() -> Mapping[str, Tool]:
    """Tools with their typical noise and vibration."""
    return parse_tools(table_text("tools.yaml"), filename="tools.yaml")


@lru_cache(maxsize=1)
def task_kinds() -> Mapping[str, TaskKind]:
    """The kinds of task that methods and hazard rules share."""
    name = "methods/task_kinds.yaml"
    return parse_task_kinds(table_text(name), filename=name)


@lru_cache(maxsize=1)
def ticket_kinds() -> Mapping[str, TicketKind]:
    """Licences and competencies that a task may ask for."""
    name = "ticket_kinds.yaml"
    return parse_ticket_kinds(table_text(name), filename=name)


@lru_cache(maxsize=1)
def packs() -> Mapping[str, Pack]:
    """Jurisdiction packs by key."""
    folder = FIXTURES / "packs"
    return load_packs(
        {f"packs/{p.name}": p.read_text("utf-8") for p in folder.glob("*.yaml")}
    )


@lru_cache(maxsize=64)
def parse_method_text(key: str, text: str) -> Method:
    """A method from its YAML text."""
    return parse_method(
        text,
        filename=f"methods/{key}.yaml",
        kinds=task_kinds(),
        tools=tools(),
        ticket_kinds=ticket_kinds(),
    )


def methods() -> dict[str, Method]:
    """Every method of the firm by key, one query."""
    return {row.key: parse_method_text(row.key, row.text) for row in texts("method")}


def method(key: str) -> Method:
    """One method. Refused when the library has none of that name."""
    row = LibraryText.objects.filter(kind="method", key=key).first()
    if row is None:
        raise Refused(f"There is no method “{key}” in the library. Choose another.")
    return parse_method_text(row.key, row.text)
