"""Everything that the print of a statement shows, and the digest that names the print."""

from collections.abc import Sequence
from dataclasses import dataclass, fields
from datetime import datetime
from typing import Any

from jobs.domain.approvals import Standing
from jobs.domain.chain import digest_of
from jobs.domain.dimensions import Dimensions, Frame, Structure
from jobs.domain.drawing import Fitted, Space, fitted
from jobs.domain.packs import Pack
from jobs.domain.refusals import Refused
from jobs.domain.site_facts import Access, ExistingRoof, Ground, SiteFacts
from jobs.domain.sources import CHECK_FIRST
from jobs.domain.takeoff import take_off
from jobs.library import sections
from jobs.models import Firm, RenderedFile
from jobs.queries.approvals import approvals_on
from jobs.queries.documents import rendered_file
from jobs.queries.firm import local_day, the_firm
from safety.domain.condense import Condensed
from safety.domain.printing import (
    Figures,
    Glance,
    Publisher,
    at_a_glance,
    by_publisher,
    laid_out,
    set_out_figures,
)
from safety.domain.statement import Content
from safety.library import pack_of
from safety.models import Consultation, SignOn, Statement
from safety.queries.emergency import Emergency, emergency_facts
from safety.queries.statements import consultations_of, sign_ons_of

KIND = "statement-4"  # a new layout needs a new kind, or the old print is handed out
ROWS_TO_SIGN = 7  # lines on the sign-on page, signed ones counted
DRAWING_SPACE = Space(wide_mm=270, high_mm=118)  # beside the rest on a page of A4


@dataclass(frozen=True, slots=True)
class Condition:
    """An approval that is back, with the conditions it came with."""

    name: str
    reference: str
    conditions: str


@dataclass(frozen=True, slots=True)
class Paper:
    """One statement as it is printed."""

    statement: Statement
    firm: Firm
    signed: tuple[SignOn, ...]
    asked: tuple[Consultation, ...]
    glance: tuple[Glance, ...]
    plan: Condensed
    sources: tuple[Publisher, ...]
    set_out: tuple[Figures, ...]
    drawings: Fitted
    conditions: tuple[Condition, ...]
    emergency: Emergency
    regulation: str  # in which the clauses of the model law stand here

    @property
    def is_draft(self) -> bool:
        """Whether nobody may work by it."""
        return self.statement.state != Statement.State.ISSUED

    @property
    def blanks(self) -> range:
        """Empty lines on the sign-on page."""
        return range(max(ROWS_TO_SIGN - len(self.signed), 4))


def paper_of(
    statement: Statement, signed: Sequence[SignOn], asked: Sequence[Consultation]
) -> RenderedFile | None:
    """The print of this version with these sign-ons and talks, when it was made.

    One query.
    """
    return rendered_file(KIND, paper_digest(statement, signed, asked))


def paper_digest(
    statement: Statement, signed: Sequence[SignOn], asked: Sequence[Consultation]
) -> str:
    """The name of a print: what was frozen, where it stands, who signed and was asked.

    A talk is never changed once noted, so its number stands for it.
    """
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
            "asked": [row.pk for row in asked],
        }
    )


def _moment(at: datetime | None) -> str | None:
    return at.isoformat() if at else None


def paper(statement: Statement) -> Paper:
    """All that the print shows. Seven queries."""
    firm = the_firm()
    facts = statement.facts.facts
    structure, dims = Structure(facts["structure"]), _dimensions(facts["dimensions"])
    site = _site(facts["site"])
    pack = pack_in(statement.content)
    plan, sources = laid_out(statement.content)
    return Paper(
        statement=statement,
        firm=firm,
        signed=tuple(sign_ons_of(statement)),
        asked=tuple(consultations_of(statement)),
        glance=at_a_glance(plan),
        plan=plan,
        sources=by_publisher(sources),
        set_out=set_out_figures(take_off(structure, dims, site, sections()).set_out),
        drawings=fitted(
            structure, dims, sections(), site.existing_eave_height_m, DRAWING_SPACE
        ),
        conditions=_conditions(statement, firm),
        emergency=emergency_facts(pack, statement.law_on),
        regulation=_regulation(pack, statement),
    )


def _dimensions(plain: dict[str, Any]) -> Dimensions:
    values = {f.name: plain[f.name] for f in fields(Dimensions) if f.name in plain}
    return Dimensions(**{**values, "frame": Frame(plain["frame"])})


def _site(plain: dict[str, Any]) -> SiteFacts:
    values: dict[str, Any] = {f.name: plain.get(f.name) for f in fields(SiteFacts)}
    values["existing_roof"] = ExistingRoof(plain["existing_roof"])
    values["ground"] = Ground(plain["ground"])
    values["access"] = Access(plain["access"])
    return SiteFacts(**values)


def pack_in(content: Content) -> Pack | None:
    """The pack a content was made under; None when it is no longer known. No query."""
    try:
        return pack_of(str(content["pack"]["key"]))
    except Refused:  # a place that this version no longer knows
        return None


def _conditions(statement: Statement, firm: Firm) -> tuple[Condition, ...]:
    day = local_day(statement.issued_at or statement.reviewed_at, firm)
    return tuple(
        Condition(view.approval.kind.name, view.last.reference, view.last.conditions)
        for view in approvals_on(day, [statement.job])
        if view.standing is Standing.GRANTED and view.last is not None
    )


def _regulation(pack: Pack | None, statement: Statement) -> str:
    value = pack.find("law.regulation", statement.law_on) if pack else None
    if value is None:
        return ""
    return f"{value.text} ({CHECK_FIRST})" if value.needs_check else value.text
