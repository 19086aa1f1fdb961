"""The hazard plan of a job, worked out from the facts, the rules and the edits."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date, datetime
from functools import lru_cache
from typing import Any

from django.db.models import Q

from jobs.domain.chain import digest_of
from jobs.domain.dimensions import Structure
from jobs.domain.facts import JobFacts, from_json
from jobs.domain.facts import digest as facts_digest
from jobs.domain.refusals import Refused
from jobs.models import STRUCTURE_NAMES, FactsRevision, Firm, Job
from jobs.queries.firm import local_day
from safety.domain.circumstances import (
    circumstances,
    structure_counts,
    structure_words,
)
from safety.domain.day_table import planned_table
from safety.domain.engine import RuleBook, hazard_plan
from safety.domain.overrides import Action, Override, apply_overrides
from safety.domain.plan import HazardPlan
from safety.domain.risk import Matrix
from safety.domain.statement import Content, StatementHeader, statement_content
from safety.domain.statement_digest import digest
from safety.library import Rules
from safety.models import PlanEdit
from safety.queries.rules import rules_at
from scheduling.models import CrewSlot

_REVIEW_RULES = ("statement.review", "statement.stop_work")
_REVIEW_ALWAYS = (
    "The site lead looks at it every morning before work, and stops work when something "
    "is not as it is written here.",
    "The office makes a new version when a dimension, a tool, the sequence or the site "
    "changes, and after any incident.",
)

_MOST_PLANS = 32  # kept in a process, up to half a megabyte each


@dataclass(frozen=True, slots=True)
class IdleEdit:
    """A reviewer's change that does nothing any more, and why."""

    edit: PlanEdit
    why: str


@dataclass(frozen=True, slots=True)
class Draft:
    """A plan as the engine works it out, with the reviewer's changes put on."""

    job: Job
    facts: JobFacts
    revision: FactsRevision
    rules: Rules
    on: date
    plan: HazardPlan
    matrix: Matrix
    edits: tuple[PlanEdit, ...]
    idle: tuple[IdleEdit, ...]
    content: Content
    digest: str

    @property
    def rests_on(self) -> dict[str, Any]:
        """Digests of all that it was made from, for the row that keeps it."""
        return rests_on(
            self.revision.digest,
            self.rules,
            place_of(self.facts),
            self.on,
            self.edits,
        )


def rests_on(
    facts_digest: str, rules: Rules, place: str, on: date, edits: Iterable[PlanEdit]
) -> dict[str, Any]:
    """What a plan was made from; equal values give equal plans."""
    return {
        "facts": facts_digest,
        "rules": rules.digest,
        "law": rules.law(place, on),
        "edits": [_edit_digest(edit) for edit in edits],
    }


def _edit_digest(edit: PlanEdit) -> str:
    return digest_of(
        [
            edit.does,
            edit.line_key,
            edit.control_key,
            edit.changes,
            edit.reason,
            edit.by_name,
        ]
    )


def draft(
    job: Job, at: datetime, firm: Firm, *, on: date | None = None
) -> Draft | None:
    """The plan of a job as it stood at a moment; None before its facts are known.

    ``on`` is the day whose law it follows: by default the next day the job is booked,
    or the day of ``at``. At most eight queries.
    """
    revision = facts_at(job, at)
    if revision is None:
        return None
    rules = rules_at(at, firm)
    day = on or day_of_work(job, local_day(at, firm))
    return make_draft(job, revision, rules, day, edits_at(job, at), firm)


def make_draft(
    job: Job,
    revision: FactsRevision,
    rules: Rules,
    on: date,
    edits: Sequence[PlanEdit],
    firm: Firm,
) -> Draft:
    """The plan from given parts. No query."""
    facts = from_json(revision.facts)
    book = rules.book(place_of(facts))
    plan, idle = plan_of(facts, rules, on, edits)
    content = statement_content(
        plan,
        header(job, facts, book, on, firm),
        book.pack,
        book.risk.matrix,
        planned_table(facts, book.bench, book.pack, on),
    )
    return Draft(
        job=job,
        facts=facts,
        revision=revision,
        rules=rules,
        on=on,
        plan=plan,
        matrix=book.risk.matrix,
        edits=tuple(edits),
        idle=idle,
        content=content,
        digest=digest(content),
    )


@dataclass(frozen=True, slots=True)
class _MadeFrom:
    """All that the engine makes a plan from; equal digests are equal facts."""

    facts_digest: str
    rules: Rules
    on: date
    facts: JobFacts = field(compare=False)


@lru_cache(maxsize=_MOST_PLANS)
def _plan(made_from: _MadeFrom) -> HazardPlan:
    """The plan before edits. A page, its review and its issue ask for the very same."""
    facts = made_from.facts
    book = made_from.rules.book(place_of(facts))
    return hazard_plan(facts, book, made_from.on)


def plan_of(
    facts: JobFacts, rules: Rules, on: date, edits: Iterable[PlanEdit]
) -> tuple[HazardPlan, tuple[IdleEdit, ...]]:
    """The plan with the edits put on one by one; those that do not fit are left idle."""
    plan = _plan(_MadeFrom(facts_digest(facts), rules, on, facts))
    matrix = rules.book(place_of(facts)).risk.matrix
    idle: list[IdleEdit] = []
    for edit in edits:
        override = as_override(edit)
        try:
            changed = apply_overrides(plan, [override], matrix)
        except Refused as refusal:
            idle.append(IdleEdit(edit, refusal.reasons[0]))
            continue
        if changed is plan:
            idle.append(IdleEdit(edit, "The plan does not have that line any more."))
        plan = changed
    return plan, tuple(idle)


def place_of(facts: JobFacts) -> str:
    """The key of the pack that the site lies in, as the facts of that time say."""
    return str(facts.site["state"])


def as_override(edit: PlanEdit) -> Override:
    """The row as the engine knows it."""
    return Override(
        action=Action(edit.does),
        line_key=edit.line_key,
        reason=edit.reason,
        by=edit.by_name,
        control_key=edit.control_key,
        values=edit.changes,
    )


def facts_at(job: Job, at: datetime) -> FactsRevision | None:
    """The facts of a job as they stood at a moment. One query."""
    return job.facts_revisions.filter(at__lte=at).order_by("-number").first()


def edits_at(job: Job, at: datetime) -> list[PlanEdit]:
    """The edits in force at a moment, in the order they were made. One query."""
    return list(
        PlanEdit.objects.filter(in_force(at), job=job)
        .select_related("made_by")
        .order_by("made_at", "pk")
    )


def in_force(at: datetime) -> Q:
    """Edits made and not taken back at a moment."""
    return Q(made_at__lte=at) & (Q(undone_at__isnull=True) | Q(undone_at__gt=at))


def day_of_work(job: Job, today: date) -> date:
    """The next day the job is booked, today included; today when it is not. One query."""
    slots = CrewSlot.objects.filter(booking__visit__job=job, day__gte=today)
    return slots.order_by("day").values_list("day", flat=True).first() or today


def header_again(
    kept: Mapping[str, Any], facts: JobFacts, book: RuleBook, on: date
) -> StatementHeader:
    """The head of a kept statement with all that follows from the facts worked out anew.

    Names and addresses stay as they were: a corrected one changes no hazard.
    """
    return StatementHeader(
        job=kept["job"],
        site=kept["site"],
        structure=_structure(facts),
        firm=kept["firm"],
        principal_contractor=kept["principal_contractor"],
        responsible=kept["responsible"],
        reviewer=kept["reviewer"],
        circumstances=circumstances(facts),
        review_when=_review_when(book, on),
        structure_counts=structure_counts(_name(facts), facts.dimensions),
    )


def _structure(facts: JobFacts) -> str:
    return structure_words(_name(facts), facts.dimensions)


def _name(facts: JobFacts) -> str:
    return STRUCTURE_NAMES[Structure(facts.structure)]


def _review_when(book: RuleBook, on: date) -> tuple[str, ...]:
    rules = (book.pack.find(key, on) for key in _REVIEW_RULES)
    return (*_REVIEW_ALWAYS, *(rule.says for rule in rules if rule is not None))


def header(
    job: Job, facts: JobFacts, book: RuleBook, on: date, firm: Firm
) -> StatementHeader:
    """The head of a statement; names and numbers that may change stay out of its digest."""
    contacts = {
        "Site lead": _reach(job.site_lead.name, job.site_lead.phone)
        if job.site_lead
        else "not named yet",
        "Firm": _reach(firm.name, firm.phone),
    }
    return StatementHeader(
        job=f"Job {job.number}: {job.title}",
        site=str(job.site),
        structure=_structure(facts),
        firm=firm.name,
        responsible="The site lead of the day",
        reviewer="The office",
        circumstances=circumstances(facts),
        review_when=_review_when(book, on),
        structure_counts=structure_counts(_name(facts), facts.dimensions),
        contacts=contacts,
    )


def _reach(name: str, phone: str) -> str:
    return f"{name}, {phone}" if phone else name
