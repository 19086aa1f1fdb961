"""Jurisdiction packs read from YAML, with file and line for every mistake.

A file holds one pack::

    pack: au-sa
    name: South Australia
    extends: au
    values:
      - key: falls.statement_height
        says: A person could fall further than this.
        value: 2
        unit: m
        edge: more than
        basis: law
        clause: WHS Regulations 2012 (SA) r 291
        publisher: Government of South Australia
        seen: read
        effective_from: 2026-07-01
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date

from jobs.domain.holds import Basis
from jobs.domain.packs import Edge, Pack, PackItem, PackValue
from jobs.domain.sources import Seen, Source
from jobs.domain.units import UNITS
from jobs.domain.yaml_lines import Fault, Fields, LibraryError, Node, gather, parse_yaml

SOURCE_KEYS = ("publisher", "clause", "url", "seen", "second_hand")
_VALUE_KEYS = ("value", "unit", "edge", "items", "note")
_DATE_KEYS = ("effective_from", "effective_to")


@dataclass(frozen=True, slots=True)
class PackFile:
    """One pack as written, before it is joined to the one it extends."""

    key: str
    name: str
    extends: str
    values: Mapping[str, tuple[PackValue, ...]]
    node: Node


def load_packs(texts: Mapping[str, str]) -> Mapping[str, Pack]:
    """Packs by key from texts by file name; LibraryError lists every fault of all."""
    nodes = [_document(text, name) for name, text in sorted(texts.items())]
    files: dict[str, PackFile] = {}
    for file in gather(nodes, _parse_file):
        if file.key in files:
            raise file.node.fault(f'the pack "{file.key}" is there twice.')
        files[file.key] = file
    return {
        pack.key: pack
        for pack in gather(
            (file.node for file in files.values()), lambda node: _join(node, files)
        )
    }


def parse_source(fields: Fields) -> Source:
    """The source named by the keys ``basis`` and SOURCE_KEYS of a mapping.

    Law and codes of practice need a publisher and a clause; everything else may do
    without, and is then printed as what it is.
    """
    basis = Basis(fields["basis"].one_of([*Basis], "basis"))
    seen = Seen.READ
    if "seen" in fields:
        seen = Seen(fields["seen"].one_of([*Seen], "way of knowing"))
    if basis in (Basis.LAW, Basis.CODE):
        _need(fields, "publisher", "clause", "seen")
    return Source(
        basis=basis,
        publisher=fields.text("publisher"),
        clause=fields.text("clause"),
        url=fields.text("url"),
        seen=seen,
        second_hand=fields.flag("second_hand"),
    )


def _need(fields: Fields, *keys: str) -> None:
    missing = [key for key in keys if key not in fields]
    if missing:
        raise fields.node.fault(
            f"a law or a code of practice needs {' and '.join(missing)}."
        )


def _document(text: str, name: str) -> Node:
    return parse_yaml(text, filename=name)


def _parse_file(node: Node) -> PackFile:
    fields = node.fields("pack", "name", "values", optional=("extends",))
    key = fields.text("pack")
    values = gather(fields.items("values"), lambda row: _parse_value(row, key))
    _refuse_overlaps(fields.items("values"), values)
    return PackFile(
        key=key,
        name=fields.text("name"),
        extends=fields.text("extends"),
        values=_by_key(values),
        node=node,
    )


def _by_key(values: Iterable[PackValue]) -> Mapping[str, tuple[PackValue, ...]]:
    table: dict[str, tuple[PackValue, ...]] = {}
    for value in values:
        table[value.key] = (*table.get(value.key, ()), value)
    return table


def _parse_value(node: Node, pack: str) -> PackValue:
    fields = node.fields(
        "key", "says", "basis", optional=(*SOURCE_KEYS, *_VALUE_KEYS, *_DATE_KEYS)
    )
    if ("value" in fields) == ("items" in fields):
        raise node.fault('give either "value" or "items".')
    value = _scalar(fields["value"]) if "value" in fields else None
    return PackValue(
        key=fields.text("key"),
        pack=pack,
        says=fields.text("says"),
        source=parse_source(fields),
        value=value,
        unit=_unit(fields, value),
        edge=_edge(fields, value),
        items=gather(fields.items("items"), _parse_item),
        effective_from=_day(fields, "effective_from"),
        effective_to=_day(fields, "effective_to"),
        note=fields.text("note"),
    )


def _scalar(node: Node) -> float | str | bool:
    for read in (node.flag, node.number, node.text):
        try:
            return read()
        except LibraryError:
            continue
    raise node.fault("expected a number, a text, true or false.")


def _unit(fields: Fields, value: object) -> str:
    is_number = isinstance(value, float)
    if is_number != ("unit" in fields):
        says = "a number needs a unit." if is_number else "only a number has a unit."
        raise fields.node.fault(says)
    return fields["unit"].one_of(UNITS, "unit") if is_number else ""


def _edge(fields: Fields, value: object) -> Edge | None:
    if "edge" not in fields:
        return None
    if not isinstance(value, float):
        raise fields["edge"].fault("only a number has an edge.")
    return Edge(fields["edge"].one_of([*Edge], "edge"))


def _day(fields: Fields, key: str) -> date | None:
    return fields[key].day() if key in fields else None


def _parse_item(node: Node) -> PackItem:
    fields = node.fields(
        "key", "says", optional=("topics", "when", "needs_reading", "decide")
    )
    return PackItem(
        key=fields.text("key"),
        says=fields.text("says"),
        topics=tuple(topic.text() for topic in fields.items("topics")),
        when=fields.by_key.get("when"),
        needs_reading=fields.text("needs_reading"),
        decide=fields.flag("decide"),
    )


def _refuse_overlaps(nodes: Iterable[Node], values: Iterable[PackValue]) -> None:
    """Two versions of one key must not be in force on the same day."""
    before: dict[str, list[PackValue]] = {}
    faults: list[Fault] = []
    for node, value in zip(nodes, values, strict=True):
        if any(_overlap(value, other) for other in before.get(value.key, ())):
            says = f'"{value.key}" would have two values on the same day.'
            faults.append(Fault(node.filename, node.line, says))
        before.setdefault(value.key, []).append(value)
    if faults:
        raise LibraryError(faults)


def _overlap(one: PackValue, other: PackValue) -> bool:
    first, second = sorted((one, other), key=lambda v: v.effective_from or date.min)
    starts = second.effective_from or date.min
    return first.effective_to is None or starts <= first.effective_to


def _join(node: Node, files: Mapping[str, PackFile]) -> Pack:
    file = files[node.entries()["pack"].text()]
    chain = [file]
    while chain[-1].extends:
        parent = files.get(chain[-1].extends)
        if parent is None or parent in chain:
            raise node.entries()["extends"].fault(
                f'"{chain[-1].extends}" is not a pack that can be extended here.'
            )
        chain.append(parent)
    return Pack(
        key=file.key,
        name=file.name,
        chain=tuple(link.key for link in chain),
        values=tuple(link.values for link in chain),
    )
