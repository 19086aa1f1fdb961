"""What changed between two versions of a statement, in words a crew can read."""

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from enum import StrEnum
from typing import Any

from safety.domain.statement import OUTSIDE_DIGEST, Content


class Kind(StrEnum):
    """What happened to a thing from one version to the next."""

    ADDED = "added"
    REMOVED = "removed"
    CHANGED = "changed"


@dataclass(frozen=True, slots=True)
class Difference:
    """One change. ``where`` names step and hazard; ``signs_again`` is whether the crew
    must sign again because of it.
    """

    kind: Kind
    where: str
    says: str
    signs_again: bool = True


def differences(old: Content, new: Content) -> tuple[Difference, ...]:
    """Every change from ``old`` to ``new``: job, categories, steps, lines, the rest.

    Two contents with the same digest give only differences that ask nobody to sign.
    """
    return (
        *_fields("Job", old["job"], new["job"], _JOB_WORDS),
        *_duty(old, new),
        *_categories(old, new),
        *_order(old, new),
        *_lines(old, new),
        *_outside(old, new),
    )


_JOB_WORDS = {
    "job": "job",
    "site": "site",
    "structure": "structure",
    "firm": "firm",
    "principal_contractor": "principal contractor",
    "responsible": "who answers for it",
    "reviewer": "reviewer",
    "circumstances": "circumstances of the site",
    "review_when": "when it is reviewed",
}
_LINE_WORDS = {
    "name": "name",
    "harm": "harm",
    "why": "why it is here",
    "source": "source",
    "categories": "high risk categories",
    "no_higher_control": "reason for no higher control",
}
_CONTROL_WORDS = {
    "text": "control",
    "who": "who",
    "when": "when",
    "check": "how it is checked",
    "level_name": "level",
    "source": "source of the control",
}


def _fields(
    where: str,
    old: Mapping[str, Any],
    new: Mapping[str, Any],
    words: Mapping[str, str],
    *,
    signs_again: bool = True,
) -> Iterable[Difference]:
    for key, word in words.items():
        before, after = _shown(old.get(key)), _shown(new.get(key))
        if before != after:
            says = f"{word}: was {before}, is now {after}"
            yield Difference(Kind.CHANGED, where, says, signs_again)


def _shown(value: Any) -> str:
    if isinstance(value, list):
        value = "; ".join(str(part) for part in value)
    return f"“{value}”" if value not in (None, "") else "nothing"


def _duty(old: Content, new: Content) -> Iterable[Difference]:
    if old["duty"]["says"] != new["duty"]["says"]:
        says = (
            f"was {_shown(old['duty']['says'])}, is now {_shown(new['duty']['says'])}"
        )
        yield Difference(Kind.CHANGED, "Why there is a statement", says)


def _categories(old: Content, new: Content) -> Iterable[Difference]:
    def words(category: Content) -> str:
        return f"{category['key']}: {category['says']}"

    yield from _came_and_went(
        "High risk work", _by_key(old["categories"]), _by_key(new["categories"]), words
    )


def _by_key(rows: Iterable[Content]) -> dict[str, Content]:
    return {row["key"]: row for row in rows}


def _came_and_went(
    where: str,
    old: Mapping[str, Content],
    new: Mapping[str, Content],
    words: Callable[[Content], str],
) -> Iterable[Difference]:
    for key, row in new.items():
        if key not in old:
            yield Difference(Kind.ADDED, where, words(row))
    for key, row in old.items():
        if key not in new:
            yield Difference(Kind.REMOVED, where, words(row))


def _order(old: Content, new: Content) -> Iterable[Difference]:
    before = [step["key"] for step in old["steps"]]
    after = [step["key"] for step in new["steps"]]
    kept = [key for key in before if key in after]
    if kept != [key for key in after if key in before]:
        names = {step["key"]: step["name"] for step in new["steps"]}
        says = " → ".join(names[key] for key in after)
        yield Difference(Kind.CHANGED, "Order of the work", says)


def _lines(old: Content, new: Content) -> Iterable[Difference]:
    before, after = _placed_lines(old), _placed_lines(new)
    for key, (where, line) in after.items():
        if key in before:
            yield from _line(where, before[key][1], line)
        else:
            yield Difference(Kind.ADDED, where, line["why"])
    reasons = {gone["key"]: gone["reason"] for gone in new["removed"]}
    for key, (where, _) in before.items():
        if key not in after:
            says = reasons.get(key, "The facts of the job no longer give it.")
            yield Difference(Kind.REMOVED, where, says)


def _placed_lines(content: Content) -> dict[str, tuple[str, Content]]:
    return {
        line["key"]: (f"{step['name']}: {line['name']}", line)
        for step in content["steps"]
        for line in step["lines"]
    }


def _line(where: str, old: Content, new: Content) -> Iterable[Difference]:
    yield from _fields(where, old, new, _LINE_WORDS)
    for key, word in (("initial", "before controls"), ("residual", "after controls")):
        if old[key]["words"] != new[key]["words"]:
            says = f"rating {word}: was {old[key]['words']}, is now {new[key]['words']}"
            yield Difference(Kind.CHANGED, where, says)
    before, after = _by_key(old["controls"]), _by_key(new["controls"])
    yield from _came_and_went(where, before, after, lambda control: control["text"])
    for key in (key for key in after if key in before):
        yield from _fields(where, before[key], after[key], _CONTROL_WORDS)


def _outside(old: Content, new: Content) -> Iterable[Difference]:
    for part in OUTSIDE_DIGEST:
        before, after = _rows(part, old[part]), _rows(part, new[part])
        words = {key: key for key in (*before, *after)}
        yield from _fields("For information", before, after, words, signs_again=False)


def _rows(part: str, value: Any) -> Mapping[str, Any]:
    return value if isinstance(value, dict) else {part.replace("_", " "): value}
