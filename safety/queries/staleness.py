"""Whether an issued statement still says what the engine would say, for many jobs.

A statement is out of date when the plan that follows from the facts, rules, law and
edits of a moment has another digest than the one that people signed. Most statements
rest on the very same facts, rules, law and edits as when they were issued; for those
nothing is worked out, and for the others the verdict is kept. When very many change at
once, as after an edit of the library, only some are worked out at a time: the others
count as out of date until they are, since what is not known is the worse case.
"""

from collections import OrderedDict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime
from typing import Any

from django.core.cache import cache
from django.db.models import Exists, OuterRef
from django.db.models.fields.json import KT

from jobs.domain.chain import digest_of
from jobs.domain.facts import JobFacts, from_json
from jobs.models import FactsRevision, Firm
from jobs.queries.firm import local_day
from safety.domain.plan import HazardPlan
from safety.domain.risk import Matrix
from safety.domain.statement import statement_content
from safety.domain.statement_digest import digest
from safety.domain.tolerance import above_tolerance, tolerance_words, works_up_to
from safety.library import Rules
from safety.models import PlanEdit, Statement
from safety.queries.plans import header_again, in_force, place_of, plan_of, rests_on
from safety.queries.rules import rules_at


@dataclass(frozen=True, slots=True)
class Changed:
    """Why a statement is out of date."""

    cause: str
    since: datetime
    too_high: str = ""  # which lines are above the firm's line, and whose line it is


AT_ONCE = 40  # plans worked out for one page; about 50 ms each
_MOST_KEPT = 20_000  # in one process
_KEPT_SECONDS = 40 * 24 * 60 * 60  # in the cache that processes may share
_PREFIX = "plan-verdict-2:"  # a new shape needs a new name
# By what a plan was made from: whether it differs from the one that was signed (for a job
# without a statement: whether the law asks for one), and the words of what is too high.
Kept = tuple[bool, str]
_KEPT: OrderedDict[str, Kept] = OrderedDict()
_UNKNOWN: Kept = (True, "")  # what is not worked out yet counts as the worse case


def latest_facts(job_ids: Iterable[int], at: datetime) -> dict[int, FactsRevision]:
    """The last facts revision of each job at a moment, without the facts. One query.

    ``place`` is there beside the columns: the key of the site's pack.
    """
    later = FactsRevision.objects.filter(
        job=OuterRef("job"), number__gt=OuterRef("number"), at__lte=at
    )
    rows = FactsRevision.objects.filter(
        ~Exists(later), job__in=list(job_ids), at__lte=at
    )
    rows = rows.annotate(place=KT("facts__site__state")).defer("facts")
    return {row.job_id: row for row in rows}


def _place(row: FactsRevision) -> str:
    return str(row.place)  # type: ignore[attr-defined]  # annotated above


def out_of_date(
    issued: Mapping[int, Statement], at: datetime, firm: Firm
) -> dict[int, Changed]:
    """Jobs whose issued statement no longer fits, by job id. At most eight queries.

    ``issued`` are the statements in force by job id, as :func:`issued_at` gives them.
    """
    if not issued:
        return {}
    day, rules = local_day(at, firm), rules_at(at, firm)
    facts = latest_facts(issued, at)
    edits = _edits(issued, at)
    cases = [
        _Case(statement, facts[job_id], day, rules, edits.get(job_id, []))
        for job_id, statement in issued.items()
    ]
    changed = [case for case in cases if case.now != case.statement.rests_on]
    missing = _not_kept(case.key for case in changed)
    todo = [case for case in changed if case.key in missing]
    _work_out(todo[:AT_ONCE])
    return {
        case.statement.job_id: case.changed()
        for case in changed
        if _KEPT.get(case.key, _UNKNOWN)[0]
    }


class _Case:
    """A statement, and what its plan would be made from at the moment asked about."""

    def __init__(
        self,
        statement: Statement,
        facts: FactsRevision,
        day: date,
        rules: Rules,
        edits: Sequence[PlanEdit],
    ) -> None:
        self.statement, self.facts, self.rules = statement, facts, rules
        self.on = max(statement.law_on, day)
        self.edits = edits
        self.now = rests_on(facts.digest, rules, _place(facts), self.on, edits)
        self.key = f"{statement.digest}:{digest_of(self.now)}"

    def changed(self) -> Changed:
        """What changed, the weightiest first."""
        found = self._cause()
        if self.key in _KEPT:
            return replace(found, too_high=_KEPT[self.key][1])
        return Changed(f"{found.cause}; the two are not compared yet", found.since)

    def _cause(self) -> Changed:
        was, now = self.statement.rests_on, self.now
        since = self.statement.issued_at or self.statement.reviewed_at
        if was["facts"] != now["facts"]:
            return Changed(self.facts.cause, self.facts.at)
        if was["edits"] != now["edits"]:
            return Changed("the hazard plan was edited", since)
        if was["rules"] != now["rules"]:
            cause = "the hazard library, the risk method or the heat limit changed"
            return Changed(cause, since)
        return Changed("another law or another season counts now", since)


def _edits(job_ids: Iterable[int], at: datetime) -> dict[int, list[PlanEdit]]:
    rows = PlanEdit.objects.filter(in_force(at), job__in=list(job_ids))
    found: dict[int, list[PlanEdit]] = {}
    for edit in rows.order_by("made_at", "pk"):
        found.setdefault(edit.job_id, []).append(edit)
    return found


def _work_out(cases: Sequence[_Case]) -> None:
    """Work the plans out and keep whether each differs. Two queries, none without."""
    if not cases:
        return
    heads = _heads(case.statement.pk for case in cases)
    facts = _facts(case.facts.pk for case in cases)
    for case in cases:
        plain = from_json(facts[case.facts.pk])
        _keep(case.key, _verdict(plain, heads[case.statement.pk], case))


def _verdict(facts: JobFacts, head: Mapping[str, Any], case: _Case) -> Kept:
    book = case.rules.book(place_of(facts))
    plan, _ = plan_of(facts, case.rules, case.on, case.edits)
    again = header_again(head, facts, book, case.on)
    content = statement_content(plan, again, book.pack, book.risk.matrix)
    differs = digest(content) != case.statement.digest
    return differs, _too_high(plan, book.risk.matrix) if differs else ""


def _too_high(plan: HazardPlan, matrix: Matrix) -> str:
    above = above_tolerance(plan, matrix)
    return tolerance_words(above, works_up_to(matrix)) if above else ""


def _heads(pks: Iterable[int]) -> dict[int, Mapping[str, Any]]:
    rows = Statement.objects.filter(pk__in=set(pks))
    return dict(rows.values_list("pk", "content__job"))


def _facts(pks: Iterable[int]) -> dict[int, Mapping[str, Any]]:
    rows = FactsRevision.objects.filter(pk__in=set(pks))
    return dict(rows.values_list("pk", "facts"))


def _not_kept(keys: Iterable[str]) -> set[str]:
    """Keys that neither this process nor the shared cache has worked out before."""
    unknown = {key for key in keys if key not in _KEPT}
    for key, value in cache.get_many([_PREFIX + key for key in unknown]).items():
        _remember(key.removeprefix(_PREFIX), (bool(value[0]), str(value[1])))
    return {key for key in unknown if key not in _KEPT}


def _keep(key: str, value: Kept) -> None:
    _remember(key, value)
    cache.set(_PREFIX + key, value, _KEPT_SECONDS)


def _remember(key: str, value: Kept) -> None:
    _KEPT[key] = value
    while len(_KEPT) > _MOST_KEPT:
        _KEPT.popitem(last=False)


@dataclass(frozen=True, slots=True)
class Unissued:
    """What is known of the plan of a job without a statement in force."""

    by_law: bool = True  # whether the law asks for a statement; unknown is "yes"
    too_high: str = ""  # which lines are above the firm's line, and whose line it is


def unissued(
    facts: Mapping[int, FactsRevision], at: datetime, firm: Firm
) -> dict[int, Unissued]:
    """Plans of jobs that have no statement, by job id. At most six queries.

    A job that was not worked out yet counts as one that needs a statement by law.
    """
    if not facts:
        return {}
    day, rules = local_day(at, firm), rules_at(at, firm)
    edits = _edits(facts, at)
    keys = {
        job_id: "unissued:" + digest_of(_rests_on(row, rules, day, edits))
        for job_id, row in facts.items()
    }
    unknown = _not_kept(keys.values())
    missing = [job_id for job_id, key in keys.items() if key in unknown][:AT_ONCE]
    texts = _facts(facts[job_id].pk for job_id in missing) if missing else {}
    for job_id in missing:
        plain = from_json(texts[facts[job_id].pk])
        book = rules.book(place_of(plain))
        plan, _ = plan_of(plain, rules, day, edits.get(job_id, []))
        _keep(keys[job_id], (plan.duty.by_law, _too_high(plan, book.risk.matrix)))
    return {job_id: Unissued(*_KEPT.get(key, _UNKNOWN)) for job_id, key in keys.items()}


def _rests_on(
    row: FactsRevision, rules: Rules, day: date, edits: Mapping[int, list[PlanEdit]]
) -> dict[str, Any]:
    of_job = edits.get(row.job_id, [])
    return rests_on(row.digest, rules, _place(row), day, of_job)
