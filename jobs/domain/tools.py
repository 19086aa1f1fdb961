"""The tools table: what each tool is driven by, how loud it is, how much it shakes."""

from collections.abc import Mapping
from dataclasses import dataclass
from enum import StrEnum

from jobs.domain.sources import Seen
from jobs.domain.yaml_lines import Fields, Node, keyed, parse_yaml


class Power(StrEnum):
    """What drives a tool. Electric tools on a lead are tested and tagged."""

    ELECTRIC = "electric"  # on a lead
    BATTERY = "battery"
    PETROL = "petrol"
    GAS = "gas"
    HAND = "hand"
    NONE = "none"


@dataclass(frozen=True, slots=True)
class Typical:
    """A typical value that a measured one replaces, with where it comes from."""

    value: float
    source: str
    known: Seen


@dataclass(frozen=True, slots=True)
class Tool:
    """One tool or piece of plant; exposure values are typical until measured."""

    key: str
    name: str
    power: Power
    noise_dba: Typical | None = None  # at the operator's ear, running
    vibration_ms2: Typical | None = None  # hand-arm, three axes together
    makes_dust_of: str = ""  # "concrete" when it drills or breaks it


def parse_tools(text: str, *, filename: str) -> Mapping[str, Tool]:
    """The tools by key, from the text of the tools table."""
    return keyed(parse_yaml(text, filename=filename).items(), _tool)


def _tool(node: Node) -> Tool:
    fields = node.fields(
        "key",
        "name",
        "power",
        optional=("noise_dba", "vibration_ms2", "makes_dust_of"),
    )
    return Tool(
        key=fields.text("key"),
        name=fields.text("name"),
        power=Power(fields["power"].one_of(list(Power), "kind of power")),
        noise_dba=_typical(fields, "noise_dba"),
        vibration_ms2=_typical(fields, "vibration_ms2"),
        makes_dust_of=fields.text("makes_dust_of"),
    )


def _typical(fields: Fields, key: str) -> Typical | None:
    if key not in fields:
        return None
    inner = fields[key].fields("typical", "source", "known")
    return Typical(
        value=inner.number("typical", at_least=0),
        source=inner.text("source"),
        known=Seen(inner["known"].one_of(list(Seen), "way to know a value")),
    )
