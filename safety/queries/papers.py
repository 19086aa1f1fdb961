"""Everything that the print of a statement shows, and the digest that names the print."""

from collections.abc import Sequence
from dataclasses import dataclass, fields
from datetime import datetime
from typing import Any

from jobs.domain.approvals import Standing
from jobs.domain.chain import digest_of
from jobs.domain.dimensions import Dimensions, Frame, Structure
from jobs.domain.drawing import draw, to_svg
from jobs.domain.packs import Pack
from jobs.domain.refusals import Refused
from jobs.domain.site_facts import Access, ExistingRoof, Ground, SiteFacts
from jobs.domain.takeoff import SetOut, take_off
from jobs.library import sections
from jobs.models import Firm, RenderedFile
from jobs.queries.approvals import approvals_on
from jobs.queries.documents import rendered_file
from jobs.queries.firm import local_day, the_firm
from safety.domain.statement import Content
from safety.library import pack_of
from safety.models import SignOn, Statement
from safety.queries.statements import sign_ons_of

KIND = "statement-1"  # a new layout needs a new kind, or the old print is handed out
WORST_SHOWN = 3
ROWS_TO_SIGN = 10  # lines on the sign-on page, signed ones counted
_LABELS_ALONE = ("common practice, no source", "firm's decision")
_EMERGENCY_KEYS = ("incidents.notify", "incidents.preserve", "emergency.plan")


@dataclass(frozen=True, slots=True)
class Condition:
    """An approval that is back, with the conditions it came with."""

    name: str
    reference: str
    conditions: str


@dataclass(frozen=True, slots=True)
class Glance:
    """One step in one line: what can hurt most, and what must be there first."""

    name: str
    worst: str
    first: str


@dataclass(frozen=True, slots=True)
class Paper:
    """One statement as it is printed."""

    statement: Statement
    firm: Firm
    signed: tuple[SignOn, ...]
    glance: tuple[Glance, ...]
    steps: tuple[Content, ...]
    sources: tuple[str, ...]
    set_out: tuple[SetOut, ...]
    drawings: tuple[str, ...]  # one SVG a view
    conditions: tuple[Condition, ...]
    emergency: tuple[str, ...]
    number: str  # emergency services, empty when the pack names none

    @property
    def is_draft(self) -> bool:
        """Whether nobody may work by it."""
        return self.statement.state != Statement.State.ISSUED

    @property
    def blanks(self) -> range:
        """Empty lines on the sign-on page."""
        return range(max(ROWS_TO_SIGN - len(self.signed), 4))


def paper_of(statement: Statement, signed: Sequence[SignOn]) -> RenderedFile | None:
    """The print of this version with these sign-ons, when it was made. One query."""
    return rendered_file(KIND, paper_digest(statement, signed))


def paper_digest(statement: Statement, signed: Sequence[SignOn]) -> str:
    """The name of a print: what was frozen, where the version stands, who signed."""
    return digest_of(
        {
            "job": statement.job_id,
            "number": statement.number,
            "content": statement.digest,
            "contacts": statement.content["contacts"],
            "state": statement.state,
            "issued": _moment(statement.issued_at),
            "signed": [
                [row.pk, row.typed_name, row.device_at.isoformat()] for row in signed
            ],
        }
    )


def _moment(at: datetime | None) -> str | None:
    return at.isoformat() if at else None


def paper(statement: Statement) -> Paper:
    """All that the print shows. Six queries."""
    firm = the_firm()
    facts = statement.facts.facts
    structure, dims = Structure(facts["structure"]), _dimensions(facts["dimensions"])
    site = _site(facts["site"])
    drawing = draw(structure, dims, sections(), site.existing_eave_height_m)
    pack = _pack(statement)
    steps, sources = with_numbered_sources(statement.content)
    return Paper(
        statement=statement,
        firm=firm,
        signed=tuple(sign_ons_of(statement)),
        glance=at_a_glance(statement.content),
        steps=steps,
        sources=sources,
        set_out=take_off(structure, dims, site, sections()).set_out,
        drawings=tuple(
            to_svg(drawing, only=view.kind, name=view.kind) for view in drawing.views
        ),
        conditions=_conditions(statement, firm),
        emergency=_emergency(pack, statement),
        number=_number(pack, statement),
    )


def with_numbered_sources(
    content: Content,
) -> tuple[tuple[Content, ...], tuple[str, ...]]:
    """The steps with a number for each source, and the sources in that order.

    A label alone ("common practice, no source") needs no number.
    """
    numbers: dict[str, int] = {}
    places = {
        row["key"]: (_step_name(step), row["name"])
        for step in content["steps"]
        for row in step["lines"]
    }

    def numbered(row: Content) -> Content:
        source = row["source"]
        if source.startswith(_LABELS_ALONE):
            return {**row, "source_number": None}
        return {**row, "source_number": numbers.setdefault(source, len(numbers) + 1)}

    def line(row: Content) -> Content:
        controls = [numbered(control) for control in row["controls"]]
        where, name = places.get(row["same_controls_as"], ("", ""))
        same = {"same_step": where, "same_name": name}
        return {**numbered(row), "controls": controls, **same}

    steps = tuple(
        {**step, "lines": [line(row) for row in step["lines"]]}
        for step in content["steps"]
    )
    return steps, tuple(numbers)


def _step_name(step: Content) -> str:
    return "the whole job" if step["whole_job"] else f"step {step['position']}"


def at_a_glance(content: Content) -> tuple[Glance, ...]:
    """Each step with its worst hazards and the strongest control of the very worst."""
    return tuple(_glance(step) for step in content["steps"] if step["lines"])


def _glance(step: Content) -> Glance:
    worst = sorted(step["lines"], key=_badness, reverse=True)[:WORST_SHOWN]
    controls = worst[0]["controls"]
    number = "" if step["whole_job"] else f"{step['position']}. "
    return Glance(
        name=f"{number}{step['name']}",
        worst="; ".join(line["name"] for line in worst),
        first=controls[0]["text"] if controls else "",
    )


def _badness(line: Content) -> tuple[int, int]:
    rating = line["initial"]
    return rating["likelihood"] + rating["consequence"], rating["consequence"]


def _dimensions(plain: dict[str, Any]) -> Dimensions:
    values = {f.name: plain[f.name] for f in fields(Dimensions) if f.name in plain}
    return Dimensions(**{**values, "frame": Frame(plain["frame"])})


def _site(plain: dict[str, Any]) -> SiteFacts:
    values: dict[str, Any] = {f.name: plain.get(f.name) for f in fields(SiteFacts)}
    values["existing_roof"] = ExistingRoof(plain["existing_roof"])
    values["ground"] = Ground(plain["ground"])
    values["access"] = Access(plain["access"])
    return SiteFacts(**values)


def _pack(statement: Statement) -> Pack | None:
    try:
        return pack_of(str(statement.content["pack"]["key"]))
    except Refused:  # a place that this version no longer knows
        return None


def _conditions(statement: Statement, firm: Firm) -> tuple[Condition, ...]:
    day = local_day(statement.issued_at or statement.reviewed_at, firm)
    return tuple(
        Condition(view.approval.kind.name, view.last.reference, view.last.conditions)
        for view in approvals_on(day, [statement.job])
        if view.standing is Standing.GRANTED and view.last is not None
    )


def _emergency(pack: Pack | None, statement: Statement) -> tuple[str, ...]:
    if pack is None:
        return ()
    found = (pack.find(key, statement.law_on) for key in _EMERGENCY_KEYS)
    return tuple(f"{value.says} [{value.source.cite()}]" for value in found if value)


def _number(pack: Pack | None, statement: Statement) -> str:
    value = pack.find("emergency.number", statement.law_on) if pack else None
    return value.text if value else ""
