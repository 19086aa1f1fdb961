"""The sections table: what a metre of each member weighs. Not structural design.

Sizes come from the engineer or the supplier. The table holds typical masses, so that
lifts can be weighed before the docket is there, and depths, so that it can be drawn.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from enum import StrEnum

from jobs.domain.sources import Seen
from jobs.domain.yaml_lines import Fields, Node, keyed, parse_yaml


class Role(StrEnum):
    """What a section is used as."""

    BEAM = "beam"
    RAFTER = "rafter"
    PURLIN = "purlin"
    POST = "post"
    JOIST = "joist"
    BEARER = "bearer"
    BOARD = "board"
    SHEET = "sheet"
    GUTTER = "gutter"
    DOWNPIPE = "downpipe"
    CAP = "cap"
    RAIL = "rail"


class Material(StrEnum):
    """What a section is made of, which decides what cuts it."""

    STEEL = "steel"
    TIMBER = "timber"
    PLASTIC = "plastic"


@dataclass(frozen=True, slots=True)
class Section:
    """One section. Linear ones weigh ``kg_per_m``, sheets ``kg_per_m2``."""

    key: str
    name: str
    role: Role
    material: Material
    depth_mm: float
    stock_max_m: float  # longest piece commonly sold
    source: str
    known: Seen
    kg_per_m: float = 0.0
    kg_per_m2: float = 0.0
    pitch_min_deg: float = 0.0  # sheets: what makers commonly give
    screws_per_purlin: int = 0  # sheets: across one sheet at one purlin
    cover_mm: float = 0.0  # boards: width and gap

    @property
    def depth_m(self) -> float:
        """Depth in metres."""
        return self.depth_mm / 1000


Sections = Mapping[str, Section]

_OPTIONAL = ("kg_per_m", "kg_per_m2", "pitch_min_deg", "screws_per_purlin", "cover_mm")


def parse_sections(text: str, *, filename: str) -> Sections:
    """The sections by key, from the text of the sections table."""
    return keyed(parse_yaml(text, filename=filename).items(), _section)


def _section(node: Node) -> Section:
    fields = node.fields(
        "key",
        "name",
        "role",
        "material",
        "depth_mm",
        "stock_max_m",
        "source",
        "known",
        optional=_OPTIONAL,
    )
    section = _read(fields)
    _check_for_role(node, section)
    return section


def _read(fields: Fields) -> Section:
    return Section(
        key=fields.text("key"),
        name=fields.text("name"),
        role=Role(fields["role"].one_of(list(Role), "role of a section")),
        material=Material(fields["material"].one_of(list(Material), "material")),
        depth_mm=fields.number("depth_mm", at_least=1),
        stock_max_m=fields.number("stock_max_m", at_least=0.5),
        source=fields.text("source"),
        known=Seen(fields["known"].one_of(list(Seen), "way to know a value")),
        kg_per_m=fields.number("kg_per_m", at_least=0),
        kg_per_m2=fields.number("kg_per_m2", at_least=0),
        pitch_min_deg=fields.number("pitch_min_deg", at_least=0),
        screws_per_purlin=fields.whole("screws_per_purlin", at_least=0),
        cover_mm=fields.number("cover_mm", at_least=0),
    )


def _check_for_role(node: Node, section: Section) -> None:
    """A sheet needs a mass a square metre, everything else a mass a metre."""
    is_sheet = section.role is Role.SHEET
    needed = "kg_per_m2" if is_sheet else "kg_per_m"
    if not (section.kg_per_m2 if is_sheet else section.kg_per_m):
        raise node.fault(f'a {section.role} needs "{needed}" above 0.')
    if is_sheet and not section.screws_per_purlin:
        raise node.fault('a sheet needs "screws_per_purlin".')
    if section.role is Role.BOARD and not section.cover_mm:
        raise node.fault('a board needs "cover_mm", its width and gap.')
