"""What changed between two versions of a statement, in words a crew can read."""

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from enum import StrEnum
from typing import Any

from safety.domain.statement import Content
from safety.domain.statement_digest import (
    OUTSIDE_DIGEST,
    control_counts,
    digest,
    line_counts,
    structure_counts,
)


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

    Two contents with the same digest give only differences that ask nobody to sign, and
    two with different digests at least one that does.
    """
    found = (
        *_job(old["job"], new["job"]),
        *_fields("Why there is a statement", old["duty"], new["duty"], _DUTY_WORDS),
        *_categories(old, new),
        *_order(old, new),
        *_lines(old, new),
        *_outside(old, new),
    )
    if any(one.signs_again for one in found) or digest(old) == digest(new):
        return found
    return (*_rest(old, new), *found)


_JOB_WORDS = {
    "job": "job",
    "site": "site",
    "firm": "firm",
    "principal_contractor": "principal contractor",
    "responsible": "who answers for it",
    "reviewer": "reviewer",
    "circumstances": "circumstances of the site",
    "review_when": "when it is reviewed",
}
_DUTY_WORDS = {"says": "duty", "source": "source"}
_CATEGORY_WORDS = {
    "says": "words",
    "source": "source",
    "needs_reading": "what a person must still decide",
    "undecided": "whether a person must still decide",
}
_LINE_WORDS = {
    "harm": "harm",
    "source": "source",
    "categories": "high risk categories",
    "no_higher_control": "reason for no higher control",
}
_CONTROL_WORDS = {
    "who": "who",
    "when": "when",
    "check": "how it is checked",
    "ask": "question of the daily check",
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
        yield from _field(
            where, word, old.get(key), new.get(key), signs_again=signs_again
        )


def _field(
    where: str, word: str, old: Any, new: Any, *, signs_again: bool
) -> Iterable[Difference]:
    before, after = _shown(old), _shown(new)
    if before != after:
        says = f"{word}: was {before}, is now {after}"
        yield Difference(Kind.CHANGED, where, says, signs_again)


def _shown(value: Any) -> str:
    if isinstance(value, list):
        value = "; ".join(str(part) for part in value)
    if isinstance(value, bool):
        value = "yes" if value else "no"
    return f"“{value}”" if value not in (None, "") else "nothing"


def _job(old: Content, new: Content) -> Iterable[Difference]:
    yield from _fields("Job", old, new, _JOB_WORDS)
    counts = structure_counts(old) != structure_counts(new)
    yield from _field(
        "Job", "structure", old["structure"], new["structure"], signs_again=counts
    )


def _categories(old: Content, new: Content) -> Iterable[Difference]:
    def words(category: Content) -> str:
        return f"{category['key']}: {category['says']}"

    where = "High risk work"
    before, after = _by_key(old["categories"]), _by_key(new["categories"])
    yield from _came_and_went(where, before, after, words)
    names = _step_names(old) | _step_names(new)
    for key in (key for key in after if key in before):
        yield from _fields(f"{where}, {key}", before[key], after[key], _CATEGORY_WORDS)
        steps = [
            [names.get(one, one) for one in row[key]["steps"]]
            for row in (before, after)
        ]
        yield from _field(f"{where}, {key}", "steps", *steps, signs_again=True)


def _step_names(content: Content) -> dict[str, str]:
    return {step["key"]: step["name"] for step in content["steps"]}


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
    names_before, names = _step_names(old), _step_names(new)
    kept = [key for key in names_before if key in names]
    if kept != [key for key in names if key in names_before]:
        says = " → ".join(names.values())
        yield Difference(Kind.CHANGED, "Order of the work", says)
    for key in kept:
        yield from _field(
            names[key], "step", names_before[key], names[key], signs_again=True
        )


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
    yield from _sentences(where, old, new)
    yield from _fields(where, old, new, _LINE_WORDS)
    for key, word in (("initial", "before controls"), ("residual", "after controls")):
        if old[key]["words"] != new[key]["words"]:
            says = f"rating {word}: was {old[key]['words']}, is now {new[key]['words']}"
            yield Difference(Kind.CHANGED, where, says)
    before, after = _by_key(old["controls"]), _by_key(new["controls"])
    yield from _came_and_went(where, before, after, lambda control: control["text"])
    for key in (key for key in after if key in before):
        yield from _control(where, before[key], after[key])


_SENTENCES = (
    ("name", "name", "name"),
    ("why", "why it is here", "reasons"),
    ("raised", "why it is rated higher", "raised"),
)


def _sentences(where: str, old: Content, new: Content) -> Iterable[Difference]:
    """Words with figures in them: they weigh only where what counts of them differs."""
    before, after = line_counts(old), line_counts(new)
    for key, word, counted in _SENTENCES:
        weighs = before[counted] != after[counted]
        yield from _field(where, word, old[key], new[key], signs_again=weighs)


def _control(where: str, old: Content, new: Content) -> Iterable[Difference]:
    weighs = control_counts(old) != control_counts(new)
    yield from _field(where, "control", old["text"], new["text"], signs_again=weighs)
    yield from _fields(where, old, new, _CONTROL_WORDS)


def _outside(old: Content, new: Content) -> Iterable[Difference]:
    for part in OUTSIDE_DIGEST:
        before, after = _rows(part, old[part]), _rows(part, new[part])
        words = {key: key for key in (*before, *after)}
        yield from _fields("For information", before, after, words, signs_again=False)


def _rows(part: str, value: Any) -> Mapping[str, Any]:
    return value if isinstance(value, dict) else {part.replace("_", " "): value}


_PART_WORDS = {
    "format": "The way that statements are made",
    "risk_method": "The firm's method of rating",
    "pack": "The place whose law it follows",
    "required_contents": "What the law asks to be in it",
    "removed": "What a reviewer left out, or why",
}


def _rest(old: Content, new: Content) -> Iterable[Difference]:
    """What counts and shows in no single line, part by part; never nothing."""
    parts = [word for key, word in _PART_WORDS.items() if old[key] != new[key]]
    for word in parts or ["Something that counts and has no words of its own"]:
        yield Difference(Kind.CHANGED, "The whole statement", f"{word} changed.")
