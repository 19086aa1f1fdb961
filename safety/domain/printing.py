"""What the print of a statement adds to its content: marks, sources, a glance, set-out.

A mark says in few letters what a rule rests on: ``L16*`` is law, source 16 at the end,
not yet read by anybody in the publication.
"""

from collections import Counter
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from itertools import groupby

from jobs.domain.holds import Basis
from jobs.domain.sources import CHECK_FIRST
from jobs.domain.spans import spans
from jobs.domain.takeoff import SetOut
from safety.domain.condense import Condensed, PrintStep, badness, condense
from safety.domain.hierarchy import Level
from safety.domain.plan import When
from safety.domain.statement import Content

LETTERS: Mapping[Basis, str] = {
    Basis.LAW: "L",
    Basis.CODE: "C",
    Basis.PRACTICE: "P",
    Basis.FIRM: "F",
}
CHECK_MARK = "*"
_LABELS_ALONE = ("common practice, no source", "firm's decision")
_BRIEF_AT_LEAST = 25  # letters of a clause that says something
_AHEAD = (When.BEFORE_JOB, When.DAY_START, When.TASK_START)


@dataclass(frozen=True, slots=True)
class Glance:
    """One step in one line: the worst hazard, and what must be there first."""

    name: str
    position: int
    worst: str
    before: Content  # rating
    first: str


@dataclass(frozen=True, slots=True)
class Figures:
    """Set-out figures that read the same: "Cut length, posts 1–3"."""

    name: str
    value: float
    unit: str


@dataclass(frozen=True, slots=True)
class Publisher:
    """Who publishes sources, with their standing; the places by their numbers."""

    name: str
    places: tuple[tuple[int, str], ...]


def marked(content: Content) -> tuple[Content, tuple[str, ...]]:
    """The content with a ``mark`` on each line and control, and the numbered sources.

    A source nobody has read ends in a star. A label alone ("common practice, no source") gets its letter and no number.
    """
    numbers: dict[str, int] = {}

    def mark(row: Content) -> Content:
        return {**row, "mark": _mark(row, numbers)}

    steps = [
        {**step, "lines": [_marked_line(line, mark) for line in step["lines"]]}
        for step in content["steps"]
    ]
    return {**content, "steps": steps}, tuple(_starred(source) for source in numbers)


def _starred(source: str) -> str:
    if CHECK_FIRST not in source:
        return source
    return f"{source.replace(f'; {CHECK_FIRST}', '')}{CHECK_MARK}"


def _marked_line(line: Content, mark: Callable[[Content], Content]) -> Content:
    return {**mark(line), "controls": [mark(control) for control in line["controls"]]}


def _mark(row: Content, numbers: dict[str, int]) -> str:
    letter = LETTERS[Basis(row["basis"])]
    source = row["source"]
    if source in _LABELS_ALONE:
        return letter
    number = numbers.setdefault(source, len(numbers) + 1)
    return f"{letter}{number}{CHECK_MARK if CHECK_FIRST in source else ''}"


def by_publisher(sources: Sequence[str]) -> tuple[Publisher, ...]:
    """Numbered sources under those who publish them, in the order they first come."""
    groups: dict[str, list[tuple[int, str]]] = {}
    for number, source in enumerate(sources, 1):
        clause, publisher = _parted(source)
        groups.setdefault(publisher, []).append((number, clause))
    return tuple(Publisher(name, tuple(rows)) for name, rows in groups.items())


def _parted(source: str) -> tuple[str, str]:
    """The place in a publication with its star, and who publishes it with its standing."""
    plain, star = source.removesuffix(CHECK_MARK), source.endswith(CHECK_MARK)
    place, _, standing = plain.rpartition(" (")
    clause, comma, publisher = place.rpartition(", ")
    if not comma:  # nobody in particular publishes it
        clause, publisher = place, ""
    name = f"{publisher} ({standing}" if publisher else standing.removesuffix(")")
    return f"{clause}{CHECK_MARK * star}", name


def at_a_glance(found: Condensed) -> tuple[Glance, ...]:
    """Each step with its worst hazard and the control to see to first.

    Of equals the hazard of the fewest steps: what is in every step says little of one.
    """
    steps = Counter(line["hazard"] for step in found.steps for line in step.lines)
    return tuple(_glance(step, steps) for step in found.steps if step.lines)


def _glance(step: PrintStep, steps: Mapping[str, int]) -> Glance:
    worst = max(
        step.lines,
        key=lambda line: (badness(line["initial"]), -steps[line["hazard"]]),
    )
    return Glance(
        name=step.name,
        position=step.position,
        worst=worst["name"],
        before=worst["initial"],
        first=in_brief(first_control(worst)["text"]),
    )


def in_brief(text: str) -> str:
    """The first clause of a control; the whole is told with its hazard."""
    ends = (text.find(mark, _BRIEF_AT_LEAST) for mark in (". ", ": ", "; "))
    end = min((at for at in ends if at > 0), default=len(text))
    return f"{text[:end].rstrip('.')}."


def first_control(line: Content) -> Content:
    """The control that must be there before the step: the one that does most.

    Of equals the higher in the hierarchy; any control where none is put in ahead.
    """
    controls: list[Content] = line["controls"]
    ahead = [control for control in controls if control["when"] in _AHEAD]
    return max(ahead or controls, key=_reach)


def _reach(control: Content) -> tuple[int, int]:
    return sum(control["lowers"]), -Level(control["level"]).place


def set_out_figures(figures: Iterable[SetOut]) -> tuple[Figures, ...]:
    """Set-out figures in order, numbered ones of one value together."""
    groups = groupby(figures, key=lambda one: (_stem(one.name), one.value, one.unit))
    return tuple(
        Figures(_joined([one.name for one in rows]), value, unit)
        for (_, value, unit), rows in groups
    )


def _stem(name: str) -> str:
    return name.rstrip("0123456789")


def _joined(names: list[str]) -> str:
    stem = _stem(names[0])
    if len(names) == 1 or stem == names[0]:
        return names[0]
    numbers = spans(int(name.removeprefix(stem)) for name in names)
    return f"{stem.rstrip()}s {numbers}"


def laid_out(content: Content) -> tuple[Condensed, tuple[str, ...]]:
    """The content condensed and marked, with its numbered sources."""
    with_marks, sources = marked(content)
    return condense(with_marks), sources
