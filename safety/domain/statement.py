"""What a safe work method statement says, as plain data in the sequence of the work.

Its digest, which people sign, is taken in ``statement_digest``: a corrected phone number
or another hour of labour does not change it; a new fall edge does.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from typing import Any

from jobs.domain.packs import Pack
from jobs.domain.sources import CHECK_FIRST
from safety.domain.plan import (
    WHOLE_JOB,
    Category,
    Counted,
    HazardPlan,
    PlanControl,
    PlanLine,
    RemovedLine,
)
from safety.domain.risk import Matrix, Rating

FORMAT = 2  # raised when the meaning of the content changes
Content = dict[str, Any]


@dataclass(frozen=True, slots=True)
class StatementHeader:
    """The head of a statement.

    ``contacts`` (names of what with a phone number or mail address) and ``print`` (who
    prepared it, when) are shown but stand outside the digest. ``circumstances`` are the
    circumstances of the site that reg 299(3) asks to be taken into account.
    ``structure_counts`` is the structure as it counts for a signature, empty when it
    counts as it stands.
    """

    job: str
    site: str
    structure: str
    firm: str
    principal_contractor: str = ""
    responsible: str = ""  # who answers for the statement being followed
    reviewer: str = ""
    circumstances: tuple[str, ...] = ()
    review_when: tuple[str, ...] = ()
    contacts: Mapping[str, str] = field(default_factory=dict)
    print: Mapping[str, str] = field(default_factory=dict)
    structure_counts: str = ""


def statement_content(
    plan: HazardPlan,
    header: StatementHeader,
    pack: Pack,
    matrix: Matrix,
    days: Content | None = None,
) -> Content:
    """The whole content as JSON-ready data, in the order of the work.

    Keys: format, document, duty, job, pack, law_as_on, risk_method, categories,
    required_contents, steps (each with lines), removed, not_found_out, contacts, print,
    and days: noise and vibration in a day as ``day_table`` tells it, None without any.
    What the law asks and what the firm adds are told apart by each line's and control's
    ``basis``.
    """
    return {
        "format": FORMAT,
        "document": plan.duty.document,
        "duty": {
            "by_law": plan.duty.by_law,
            "says": plan.duty.says,
            "source": plan.duty.source.cite(),
        },
        "job": _job(header),
        "pack": {"key": plan.pack, "name": plan.pack_name},
        "law_as_on": plan.on.isoformat(),
        "risk_method": _risk_method(matrix),
        "categories": [_category(category) for category in plan.categories],
        "required_contents": _required(pack, plan),
        "steps": _steps(plan, matrix),
        "removed": [_removed(gone) for gone in plan.removed],
        "not_found_out": [*plan.unknowns()],
        "contacts": dict(header.contacts),
        "print": dict(header.print),
        "days": days,
    }


def line_contents(content: Content) -> tuple[Content, ...]:
    """Every line of a content, in order, whatever step it stands in."""
    return tuple(line for step in content["steps"] for line in step["lines"])


def _job(header: StatementHeader) -> Content:
    return {
        "job": header.job,
        "site": header.site,
        "structure": header.structure,
        "structure_counts": header.structure_counts or header.structure,
        "firm": header.firm,
        "principal_contractor": header.principal_contractor,
        "responsible": header.responsible,
        "reviewer": header.reviewer,
        "circumstances": [*header.circumstances],
        "review_when": [*header.review_when],
    }


def _risk_method(matrix: Matrix) -> Content:
    return {
        "name": matrix.name,
        "source": matrix.source.cite(),
        "says": "No law asks for a risk score: it is the firm's way to put hazards in "
        "order.",
        "tolerance": matrix.tolerance,
    }


def _category(category: Category) -> Content:
    return {
        "key": category.key,
        "says": category.says,
        "steps": [*category.tasks],
        "why": [*category.why],
        "source": category.source.cite(),
        "needs_reading": category.needs_reading,
        "undecided": category.undecided,
    }


def _required(pack: Pack, plan: HazardPlan) -> list[Content]:
    listed = pack.find("statement.contents", plan.on)
    if listed is None:
        return []
    cite = listed.source.cite()
    return [
        {"key": item.key, "says": item.says, "source": cite} for item in listed.items
    ]


def _steps(plan: HazardPlan, matrix: Matrix) -> list[Content]:
    order: list[tuple[int, str, str]] = []
    for line in plan.lines:
        place = (line.position, line.task_key, line.task_name)
        if place not in order:
            order.append(place)
    shared = _first_with_same_controls(plan.lines)
    return [
        {
            "key": key,
            "name": name,
            "position": position,
            "whole_job": key == WHOLE_JOB,
            "lines": [
                _line(line, matrix, shared[line.key]) for line in plan.lines_of(key)
            ],
        }
        for position, key, name in sorted(order, key=lambda place: place[0])
    ]


def _first_with_same_controls(lines: Iterable[PlanLine]) -> Mapping[str, str]:
    """For each line the earlier line with exactly the same controls, "" when none."""
    first: dict[tuple[PlanControl, ...], str] = {}
    same: dict[str, str] = {}
    for line in lines:
        earlier = first.setdefault(line.controls, line.key)
        same[line.key] = "" if earlier == line.key else earlier
    return same


def _line(line: PlanLine, matrix: Matrix, same_controls_as: str) -> Content:
    return {
        "key": line.key,
        "hazard": line.hazard,
        "theme": line.theme,
        "name": line.name,
        "harm": line.harm,
        "why": line.why,
        "reasons": [*line.reasons],
        "not_found_out": [*line.unknowns],
        "raised": [*line.raised],
        "categories": [*line.categories],
        "initial": _rating(line.initial, matrix),
        "residual": _rating(line.residual, matrix),
        "tolerable": matrix.tolerates(line.residual),
        "who": line.who.value,
        "basis": line.basis.value,
        "source": line.source.cite(),
        "check_first": CHECK_FIRST if line.source.needs_check else "",
        "no_higher_control": line.no_higher_control,
        "controls": [_control(control) for control in line.controls],
        "same_controls_as": same_controls_as,
        "changes": [
            {"what": change.what, "reason": change.reason, "by": change.by}
            for change in line.changes
        ],
        **_counts(line),
    }


def _counts(line: PlanLine) -> Content:
    """The words that count, where they are not the words shown."""
    shown = Counted(line.name, line.reasons, line.raised)
    if line.counts == shown:
        return {}
    counts = line.counts
    return {
        "counts": {
            "name": counts.name,
            "reasons": [*counts.reasons],
            "raised": [*counts.raised],
        }
    }


def _control(control: PlanControl) -> Content:
    return {
        "key": control.key,
        "text": control.text,
        "level": control.level.value,
        "level_name": control.level.name_in_full,
        "who": control.who.value,
        "when": control.when.value,
        "check": control.check,
        "ask": control.ask,
        "basis": control.source.basis.value,
        "source": control.source.cite(),
        "lowers": [control.effect.likelihood, control.effect.consequence],
        **(
            {"counts": control.counts}
            if control.counts not in ("", control.text)
            else {}
        ),
    }


def _rating(rating: Rating, matrix: Matrix) -> Content:
    return {
        "likelihood": rating.likelihood,
        "consequence": rating.consequence,
        "grade": rating.grade,
        "words": matrix.words(rating),
    }


def _removed(gone: RemovedLine) -> Content:
    line = gone.line
    return {
        "key": line.key,
        "name": line.name,
        "step": line.task_name,
        "reason": gone.reason,
        "by": gone.by,
        "basis": line.basis.value,
        "source": line.source.cite(),
    }
