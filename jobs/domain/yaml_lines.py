"""YAML read with line numbers, so that a mistake in a library names its file and line.

Nothing is constructed from tags and no key is ignored: a reader asks each mapping for
the keys it knows, and whatever it did not ask for is a fault. Usage::

    def parse_row(node: Node) -> Row:
        fields = node.fields("key", "name", optional=("note",))
        return Row(fields.text("key"), fields.text("name"), fields.text("note", ""))

    rows = gather(parse_yaml(text, filename="rows.yaml").items(), parse_row)
"""

import re
from collections.abc import Callable, Collection, Iterable, Mapping
from dataclasses import dataclass
from datetime import date
from difflib import get_close_matches
from typing import TypeVar

import yaml
from yaml.composer import Composer

T = TypeVar("T")

_NUMBER = re.compile(r"[-+]?\d+(\.\d+)?")
_TAG = "tag:yaml.org,2002:"


@dataclass(frozen=True, slots=True)
class Fault:
    """One mistake in a file: where, and what to do about it."""

    filename: str
    line: int  # counted from 1, as editors do
    says: str

    def __str__(self) -> str:
        return f"{self.filename}, line {self.line}: {self.says}"


class LibraryError(ValueError):
    """A file of knowledge that cannot be used, with all faults found in it."""

    def __init__(self, faults: Iterable[Fault]) -> None:
        self.faults = tuple(faults)
        super().__init__("\n".join(str(fault) for fault in self.faults))


@dataclass(frozen=True, slots=True)
class Node:
    """A value in a YAML file, with the line it starts on."""

    filename: str
    raw: yaml.Node

    @property
    def line(self) -> int:
        """Line of the file, counted from 1."""
        return int(self.raw.start_mark.line) + 1

    @property
    def is_mapping(self) -> bool:
        """Whether it is a mapping (``key: value``)."""
        return isinstance(self.raw, yaml.MappingNode)

    def fault(self, says: str) -> LibraryError:
        """The error to raise when something is wrong with this value."""
        return LibraryError([Fault(self.filename, self.line, says)])

    def items(self) -> tuple["Node", ...]:
        """The values of a list."""
        if not isinstance(self.raw, yaml.SequenceNode):
            raise self.fault('expected a list (lines that start with "- ").')
        return tuple(Node(self.filename, raw) for raw in self.raw.value)

    def fields(self, *required: str, optional: Collection[str] = ()) -> "Fields":
        """The values of a mapping; unknown, doubled and missing keys are faults."""
        by_key = self._by_key()
        allowed = {*required, *optional}
        faults = [
            Fault(self.filename, line, _unknown(key, allowed))
            for key, (line, _) in by_key.items()
            if key not in allowed
        ]
        faults += [
            Fault(self.filename, self.line, f'the key "{key}" is missing.')
            for key in required
            if key not in by_key
        ]
        if faults:
            raise LibraryError(faults)
        return Fields(self, {key: node for key, (_, node) in by_key.items()})

    def entries(self) -> Mapping[str, "Node"]:
        """The values of a mapping whose keys are free."""
        return {key: node for key, (_, node) in self._by_key().items()}

    def text(self) -> str:
        """A text. A bare ``no`` or ``12`` is refused: YAML would not read it as text."""
        raw = self._scalar("a text")
        if raw.tag != f"{_TAG}str" or not raw.value.strip():
            raise self.fault(f'expected a text; write "{raw.value}" in quotes.')
        return " ".join(raw.value.split())

    def number(self, at_least: float | None = None) -> float:
        """A plain decimal number, optionally with a lower bound."""
        raw = self._scalar("a number")
        if raw.tag not in (f"{_TAG}int", f"{_TAG}float"):
            raise self.fault(f'expected a number, not "{raw.value}".')
        if not _NUMBER.fullmatch(raw.value):
            raise self.fault(f'write "{raw.value}" as a plain number such as 2.5.')
        value = float(raw.value)
        if at_least is not None and value < at_least:
            raise self.fault(f"{raw.value} is too small: at least {at_least:g}.")
        return value

    def whole(self, at_least: int | None = None) -> int:
        """A whole number, optionally with a lower bound."""
        value = self.number(at_least)
        if value != int(value):
            raise self.fault(f"expected a whole number, not {value:g}.")
        return int(value)

    def flag(self) -> bool:
        """``true`` or ``false``."""
        raw = self._scalar("true or false")
        if raw.value not in ("true", "false"):
            raise self.fault(f'expected true or false, not "{raw.value}".')
        return bool(raw.value == "true")

    def day(self) -> date:
        """A date such as 2026-07-01."""
        raw = self._scalar("a date")
        try:
            return date.fromisoformat(raw.value)
        except ValueError:
            says = f'expected a date such as 2026-07-01, not "{raw.value}".'
            raise self.fault(says) from None

    def one_of(self, choices: Collection[str], what: str) -> str:
        """A text that must be one of ``choices``; ``what`` names them in the fault."""
        value = self.text()
        if value not in choices:
            raise self.fault(f'there is no {what} "{value}".{_known(value, choices)}')
        return value

    def _scalar(self, wanted: str) -> yaml.ScalarNode:
        if not isinstance(self.raw, yaml.ScalarNode):
            raise self.fault(f"expected {wanted}, not a list or a mapping.")
        return self.raw

    def _by_key(self) -> dict[str, tuple[int, "Node"]]:
        if not isinstance(self.raw, yaml.MappingNode):
            raise self.fault('expected a mapping (lines such as "key: value").')
        found: dict[str, tuple[int, Node]] = {}
        for raw_key, raw_value in self.raw.value:
            key_node = Node(self.filename, raw_key)
            key = str(key_node._scalar("a key").value)
            if key in found:
                raise key_node.fault(f'the key "{key}" is there twice.')
            found[key] = (key_node.line, Node(self.filename, raw_value))
        return found


@dataclass(frozen=True, slots=True)
class Fields:
    """A mapping whose keys have been checked; the second argument is the default."""

    node: Node
    by_key: Mapping[str, Node]

    def __contains__(self, key: str) -> bool:
        return key in self.by_key

    def __getitem__(self, key: str) -> Node:
        return self.by_key[key]

    def text(self, key: str, default: str = "") -> str:
        """A text, or the default."""
        return self.by_key[key].text() if key in self.by_key else default

    def number(
        self, key: str, default: float = 0.0, at_least: float | None = None
    ) -> float:
        """A number, or the default."""
        return self.by_key[key].number(at_least) if key in self.by_key else default

    def whole(self, key: str, default: int = 0, at_least: int | None = None) -> int:
        """A whole number, or the default."""
        return self.by_key[key].whole(at_least) if key in self.by_key else default

    def flag(self, key: str, *, default: bool = False) -> bool:
        """True or false, or the default."""
        return self.by_key[key].flag() if key in self.by_key else default

    def items(self, key: str) -> tuple[Node, ...]:
        """The values of a list; an absent key is an empty list."""
        return self.by_key[key].items() if key in self.by_key else ()


def parse_yaml(text: str, *, filename: str) -> Node:
    """The one document in a text. LibraryError names file and line when it is not YAML."""
    try:
        raw = _composed(text)
    except yaml.MarkedYAMLError as error:
        mark = error.problem_mark or error.context_mark
        says = f"this is not YAML: {error.problem or error.context}."
        raise LibraryError(
            [Fault(filename, mark.line + 1 if mark else 1, says)]
        ) from None
    except (yaml.YAMLError, RecursionError) as error:
        says = f"this is not YAML: {' '.join(str(error).split())[:120]}."
        line = text.count("\n", 0, getattr(error, "position", 0)) + 1
        raise LibraryError([Fault(filename, line, says)]) from None
    if raw is None:
        raise LibraryError([Fault(filename, 1, "the file is empty.")])
    return Node(filename, raw)


def _quickest() -> type[yaml.SafeLoader] | type[yaml.CSafeLoader]:
    """libyaml, many times as fast, where PyYAML was built with it.

    The tree is still put together in Python: deep nesting is then an error, where C would
    run over its stack and take the process with it.
    """
    if not yaml.__with_libyaml__:
        return yaml.SafeLoader

    class Quick(Composer, yaml.CSafeLoader):
        def __init__(self, text: str) -> None:
            yaml.CSafeLoader.__init__(self, text)
            Composer.__init__(self)

    return Quick


_QUICKEST = _quickest()


def _composed(text: str) -> yaml.Node | None:
    try:
        return yaml.compose(text, Loader=_QUICKEST)
    except (yaml.YAMLError, RecursionError, UnicodeEncodeError):
        # PyYAML's own parser has the say in what is wrong, in its words.
        return yaml.compose(text, Loader=yaml.SafeLoader)


def gather(nodes: Iterable[Node], parse: Callable[[Node], T]) -> tuple[T, ...]:
    """Parse each node; the faults of all of them are raised together."""
    parsed: list[T] = []
    faults: list[Fault] = []
    for node in nodes:
        try:
            parsed.append(parse(node))
        except LibraryError as error:
            faults += error.faults
    if faults:
        raise LibraryError(faults)
    return tuple(parsed)


def keyed(nodes: Iterable[Node], parse: Callable[[Node], T]) -> dict[str, T]:
    """Parse a list of mappings into a table by their ``key``; doubles are faults."""
    table: dict[str, T] = {}

    def add(node: Node) -> None:
        key_node = node.entries().get("key")
        if key_node is None:
            raise node.fault('the key "key" is missing.')
        key = key_node.text()
        if key in table:
            raise key_node.fault(f'"{key}" is there twice.')
        table[key] = parse(node)

    gather(nodes, add)
    return table


def _unknown(key: str, allowed: Collection[str]) -> str:
    return f'the key "{key}" is not known here.{_known(key, allowed)}'


def _known(value: str, choices: Collection[str]) -> str:
    near = get_close_matches(value, choices, n=1)
    if near:
        return f' Did you mean "{near[0]}"?'
    return f" Known: {', '.join(sorted(choices))}."
