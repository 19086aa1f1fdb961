"""A statement's content for the print: each hazard told once, with the steps it is in.

A plan has a line for each hazard of each step, and most of them come back: people fall,
lift and hear the same saw in ten steps. Here the lines of one hazard become one card.
What differs from step to step (a rating, a control) stands on the card with its steps;
what stands on it without steps holds in all of them. Sentences alike but for one figure
are told as one. A reason that only one step has is told in that step. Nothing is left out: each line can be read back from its card and its
step, and the order of the work is kept.
"""

from collections.abc import Callable, Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass

from safety.domain.alike import Alike, Steps, greatest, told_together
from safety.domain.hierarchy import Level
from safety.domain.statement import Content
from safety.domain.statement_digest import reasons_of

COMMON_FROM = 4  # steps from which a hazard is told before the steps

# Steps are their positions; on a card none means all steps of the card.


@dataclass(frozen=True, slots=True)
class Said:
    """Words, and the steps they are said of.

    ``of`` are the sentences they stand for, each with its steps: one, or several that
    are alike but for a figure; then the words name the steps themselves.
    """

    text: str
    steps: Steps = ()
    of: tuple[tuple[str, Steps], ...] = ()


@dataclass(frozen=True, slots=True)
class Risk:
    """The ratings before and after controls, as kept in a content, and their steps."""

    before: Content
    after: Content
    steps: Steps = ()


@dataclass(frozen=True, slots=True)
class CardControl:
    """One control as kept in a content, and the steps it is for.

    ``of`` are the texts it stands for, as those of :class:`Said`.
    """

    control: Content
    steps: Steps = ()
    of: tuple[tuple[str, Steps], ...] = ()


@dataclass(frozen=True, slots=True)
class Card:
    """One hazard with all its lines.

    ``line`` stands for them: that of the step it is told in, else the worst rated; of
    equals that with the greatest figure in its name.
    ``steps`` are the positions of its steps, empty for a hazard of the whole job.
    ``more_in_steps`` says that some of its reasons are told in its steps.
    """

    number: int
    line: Content
    steps: Steps
    reasons: tuple[Said, ...]
    risks: tuple[Risk, ...]
    controls: tuple[CardControl, ...]
    categories: tuple[Said, ...]
    changes: tuple[tuple[Content, Steps], ...]
    more_in_steps: bool


@dataclass(frozen=True, slots=True)
class Mention:
    """A line whose hazard is told on a card elsewhere, with the reasons that are not."""

    number: int
    line: Content
    reasons: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class PrintStep:
    """One step: the cards told in it, and mentions of those told elsewhere."""

    key: str
    name: str
    position: int
    cards: tuple[Card, ...]
    mentions: tuple[Mention, ...]

    @property
    def lines(self) -> tuple[Content, ...]:
        """Its lines, those told elsewhere last."""
        return (*(c.line for c in self.cards), *(one.line for one in self.mentions))


@dataclass(frozen=True, slots=True)
class Condensed:
    """What holds all day and in many steps, then the steps in the order of the work."""

    everywhere: tuple[Card, ...]
    steps: tuple[PrintStep, ...]

    @property
    def cards(self) -> tuple[Card, ...]:
        """All cards by their numbers."""
        return (*self.everywhere, *(c for step in self.steps for c in step.cards))


@dataclass(frozen=True, slots=True)
class _Placed:
    """A line and where it stands."""

    line: Content
    position: int
    whole_job: bool


def condense(content: Content) -> Condensed:
    """The content of a statement with each hazard told once."""
    groups = _groups(content)
    common = [group for group in groups if _is_common(group)]
    rest = [group for group in groups if not _is_common(group)]
    everywhere = [_card(n, group, None) for n, group in enumerate(common, 1)]
    local = [_card(n, group, group[0]) for n, group in enumerate(rest, len(common) + 1)]
    by_line = {
        placed.line["key"]: card
        for card, group in zip((*everywhere, *local), (*common, *rest), strict=True)
        for placed in group
    }
    steps = [step for step in content["steps"] if not step["whole_job"]]
    return Condensed(tuple(everywhere), tuple(_step(step, by_line) for step in steps))


def _groups(content: Content) -> list[list[_Placed]]:
    """The lines of each hazard, by first appearance.

    A line whose harm or source is another one (a reviewer's words) is told by itself.
    """
    found: dict[tuple[object, ...], list[_Placed]] = {}
    for step in content["steps"]:
        for line in step["lines"]:
            key = (step["whole_job"], *(line[part] for part in _SAME))
            placed = _Placed(line, step["position"], step["whole_job"])
            found.setdefault(key, []).append(placed)
    return list(found.values())


_SAME = ("hazard", "harm", "source", "no_higher_control")


def _is_common(group: Sequence[_Placed]) -> bool:
    return group[0].whole_job or len(group) >= COMMON_FROM


def _step(step: Content, by_line: Mapping[str, Card]) -> PrintStep:
    cards = {line["key"]: by_line[line["key"]] for line in step["lines"]}
    told = [card for card in cards.values() if _is_told_in(card, step)]
    return PrintStep(
        key=step["key"],
        name=step["name"],
        position=step["position"],
        cards=tuple(told),
        mentions=tuple(
            _mention(cards[line["key"]], line)
            for line in step["lines"]
            if cards[line["key"]] not in told
        ),
    )


def _is_told_in(card: Card, step: Content) -> bool:
    return len(card.steps) < COMMON_FROM and card.steps[0] == step["position"]


def _mention(card: Card, line: Content) -> Mention:
    on_card = {text for said in card.reasons for text, _ in said.of}
    reasons = [text for text in reasons_of(line) if text not in on_card]
    return Mention(card.number, line, tuple(reasons))


def _card(number: int, group: Sequence[_Placed], home: _Placed | None) -> Card:
    reasons = _reasons(group)
    here = set(reasons_of(home.line)) if home else set()
    told = tuple(said for said in reasons if _stands_on_card(said, here))
    return Card(
        number=number,
        line=(home or max(group, key=_standing)).line,
        steps=() if group[0].whole_job else tuple(row.position for row in group),
        reasons=told,
        risks=_risks(group),
        controls=_controls(group),
        categories=_said(group, lambda line: line["categories"]),
        changes=_changes(group),
        more_in_steps=len(told) < len(reasons),
    )


def _standing(placed: _Placed) -> tuple[tuple[int, int], float]:
    """What orders the lines of a hazard: the one that stands for it highest."""
    return badness(placed.line["initial"]), greatest(placed.line["name"])


def _stands_on_card(said: Said, here: Collection[str]) -> bool:
    return len(said.of) > 1 or len(said.steps) != 1 or said.text in here


def badness(rating: Content) -> tuple[int, int]:
    """What orders kept ratings, the worst highest."""
    return rating["likelihood"] + rating["consequence"], rating["consequence"]


def _reasons(group: Sequence[_Placed]) -> tuple[Said, ...]:
    """Each reason once, those alike but for a figure together."""
    once = {said.text: said.steps for said in _said(group, reasons_of)}
    return tuple(Said(one.text, _steps_of(one), one.of) for one in told_together(once))


def _steps_of(one: Alike) -> Steps:
    """The steps to name beside it: none where its words name them."""
    return one.of[0][1] if len(one.of) == 1 else ()


def _said(
    group: Sequence[_Placed], words: Callable[[Content], Iterable[str]]
) -> tuple[Said, ...]:
    """Each sentence once, with its steps where it is not said of all of them."""
    steps: dict[str, list[int]] = {}
    for placed in group:
        for text in dict.fromkeys(words(placed.line)):
            steps.setdefault(text, []).append(placed.position)
    return tuple(Said(text, _of(group, where)) for text, where in steps.items())


def _of(group: Sequence[_Placed], where: Sequence[int]) -> Steps:
    return () if len(where) == len(group) else tuple(where)


def _risks(group: Sequence[_Placed]) -> tuple[Risk, ...]:
    """Each pair of ratings once, the worst first."""
    pairs: dict[tuple[str, str], list[_Placed]] = {}
    for placed in group:
        words = (placed.line["initial"]["words"], placed.line["residual"]["words"])
        pairs.setdefault(words, []).append(placed)
    risks = [
        Risk(
            rows[0].line["initial"],
            rows[0].line["residual"],
            _of(group, [row.position for row in rows]),
        )
        for rows in pairs.values()
    ]
    return tuple(sorted(risks, key=lambda risk: badness(risk.before), reverse=True))


_SHOWN = ("key", "level", "who", "when", "check", "ask", "basis", "source")


def _controls(group: Sequence[_Placed]) -> tuple[CardControl, ...]:
    """Each control once, in the order of the hierarchy, with its steps."""
    first: dict[tuple[str, ...], Content] = {}
    steps: dict[tuple[str, ...], dict[str, list[int]]] = {}
    for placed in group:
        for control in placed.line["controls"]:
            key = tuple(control[part] for part in _SHOWN)
            first.setdefault(key, control)
            texts = steps.setdefault(key, {})
            texts.setdefault(control["text"], []).append(placed.position)
    found = [
        CardControl({**first[key], "text": one.text}, _steps_of(one), one.of)
        for key, texts in steps.items()
        for one in told_together({t: _of(group, where) for t, where in texts.items()})
    ]
    return tuple(sorted(found, key=lambda one: Level(one.control["level"]).place))


def _changes(group: Sequence[_Placed]) -> tuple[tuple[Content, Steps], ...]:
    return tuple(
        (change, _of(group, [placed.position]))
        for placed in group
        for change in placed.line["changes"]
    )
