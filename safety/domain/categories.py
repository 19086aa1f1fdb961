"""Which categories of high risk construction work a job falls in, by its place's pack."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date

from jobs.domain.holds import Basis
from jobs.domain.packs import Edge, Pack, PackItem
from jobs.domain.sources import Source
from safety.domain.alike import greatest
from safety.domain.condition_files import Vocabulary, parse_condition
from safety.domain.conditions import Condition, Setting, judge, outcome_of
from safety.domain.fact_names import Worse, fact_spec
from safety.domain.plan import Category, StatementDuty
from safety.domain.traces import Outcome, Trace, deciding

CATEGORIES_KEY = "statement.categories"
DOCUMENT_KEY = "statement.name"
DUTY_KEY = "statement.before_work"


@dataclass(frozen=True, slots=True)
class CategoryRule:
    """A category with the condition, if any, that facts can answer."""

    item: PackItem
    condition: Condition | None


@dataclass(frozen=True, slots=True)
class TaskSetting:
    """One step and what its conditions are judged against."""

    key: str
    setting: Setting


def pack_edges(packs: Iterable[Pack]) -> Mapping[str, Edge | None]:
    """Every key of any of the packs with the edge of its value, if any has one."""
    edges: dict[str, Edge | None] = {}
    for pack in packs:
        for layer in pack.values:
            for key, versions in layer.items():
                found = next((v.edge for v in versions if v.edge), None)
                edges[key] = edges.get(key) or found
    return edges


def category_rules(pack: Pack, on: date, words: Vocabulary) -> tuple[CategoryRule, ...]:
    """The pack's categories with their conditions parsed; faults name file and line."""
    return tuple(
        CategoryRule(item, parse_condition(item.when, words) if item.when else None)
        for item in pack.items(CATEGORIES_KEY, on)
    )


def categories_met(
    rules: Iterable[CategoryRule], tasks: Iterable[TaskSetting], source: Source
) -> tuple[Category, ...]:
    """Categories that at least one step falls in, with the steps and the reasons.

    A fact nobody has found out counts as met: the category stays until it is known.
    """
    settings = tuple(tasks)
    found = (_met(rule, settings, source) for rule in rules)
    return tuple(category for category in found if category is not None)


def _met(
    rule: CategoryRule, tasks: tuple[TaskSetting, ...], source: Source
) -> Category | None:
    if rule.condition is None:
        return None
    hits = [
        (task.key, judge(rule.condition, task.setting))
        for task in tasks
        if outcome_of(rule.condition, task.setting).bites
    ]
    if not hits:
        return None
    leaves = [leaf for _, trace in hits for leaf in deciding(trace)]
    reasons = _worst_of_each([leaf for leaf in leaves if leaf.fact != "task.kind"])
    kinds = [leaf.found for leaf in leaves if leaf.fact == "task.kind"]
    return Category(
        key=rule.item.key,
        says=rule.item.says,
        tasks=tuple(key for key, _ in hits),
        why=tuple(dict.fromkeys(reasons or kinds)),
        source=source,
        needs_reading=rule.item.needs_reading,
        topics=frozenset(rule.item.topics),
        undecided=rule.item.decide
        or all(trace.outcome is Outcome.UNKNOWN for _, trace in hits),
    )


def _worst_of_each(leaves: Iterable[Trace]) -> list[str]:
    """What was found of each fact, once: of several steps the one furthest on."""
    worst: dict[str, Trace] = {}
    for leaf in leaves:
        said = leaf.found.replace(leaf.value, "", 1)
        kept = worst.setdefault(said, leaf)
        if _badness(leaf) > _badness(kept):
            worst[said] = leaf
    return [leaf.found for leaf in worst.values()]


def _badness(leaf: Trace) -> float:
    spec = fact_spec(leaf.fact)
    sign = -1 if spec and spec.worse is Worse.LESS else 1
    return sign * greatest(leaf.value)


def statement_duty(pack: Pack, on: date, met: tuple[Category, ...]) -> StatementDuty:
    """Whether the law of the place asks for a statement, in words for the page."""
    document = pack.text(DOCUMENT_KEY, on)
    rule = pack.find(DUTY_KEY, on)
    if rule is None or not met:
        return StatementDuty(
            by_law=False,
            document=document,
            says=f"No {document} is required by law for this job as it is entered; "
            "the firm makes one by its own choice.",
            source=Source(Basis.FIRM),
        )
    return StatementDuty(
        by_law=True,
        document=document,
        says=f"{rule.says} {_letters(met)}",
        source=rule.source,
    )


def _letters(met: tuple[Category, ...]) -> str:
    """Which categories the job is in, and which a person has yet to decide."""
    certain = [category.key for category in met if not category.undecided]
    open_ones = [category.key for category in met if category.undecided]
    parts = []
    if certain:
        parts.append(f"This job falls in: {', '.join(certain)}.")
    if open_ones:
        parts.append(f"Still to be decided: {', '.join(open_ones)}.")
    return " ".join(parts)
