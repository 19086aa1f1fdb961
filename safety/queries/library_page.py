"""One hazard of the library as its page shows it, in plain words."""

from collections.abc import Mapping
from dataclasses import dataclass

from safety.domain.conditions import Condition
from safety.domain.library import Control, Hazard
from safety.domain.library_words import WHO, Clause, clause, sentence, source_words
from safety.domain.risk import Matrix
from safety.domain.templates import Template
from safety.queries.library import names


@dataclass(frozen=True, slots=True)
class ControlWords:
    """A control in words."""

    key: str
    level: str
    level_name: str
    text: str
    who: str
    when: str
    check: str
    ask: str
    takes_off: str
    only_if: Clause | None
    source: str


@dataclass(frozen=True, slots=True)
class Sentence:
    """A sentence that may stand in a plan, and when it does; None for always."""

    says: str
    only_if: Clause | None
    rating: str = ""


@dataclass(frozen=True, slots=True)
class HazardPage:
    """A hazard in words."""

    name: str
    when: Clause
    reasons: tuple[Sentence, ...]
    rating: str
    raises: tuple[Sentence, ...]
    source: str
    controls: tuple[ControlWords, ...]


def hazard_page(hazard: Hazard, matrix: Matrix) -> HazardPage:
    """All that the page of a hazard says. No query."""
    words = names()
    return HazardPage(
        name=sentence(hazard.name),
        when=clause(hazard.condition, words),
        reasons=tuple(
            Sentence(sentence(one.says), _only_if(one.condition, words))
            for one in hazard.reasons
        ),
        rating=matrix.words(matrix.rate(hazard.likelihood, hazard.consequence)),
        raises=tuple(
            Sentence(
                sentence(one.says),
                clause(one.condition, words),
                matrix.words(
                    matrix.rate(
                        max(one.likelihood, hazard.likelihood),
                        max(one.consequence, hazard.consequence),
                    )
                ),
            )
            for one in hazard.raises
        ),
        source=source_words(hazard.source),
        controls=tuple(
            _control(control, words)
            for control in sorted(hazard.controls, key=lambda one: one.level.place)
        ),
    )


def _only_if(condition: Condition | None, words: Mapping[str, str]) -> Clause | None:
    return clause(condition, words) if condition else None


def _control(control: Control, words: Mapping[str, str]) -> ControlWords:
    return ControlWords(
        key=control.key,
        level=control.level.value,
        level_name=control.level.name_in_full,
        text=sentence(control.text),
        who=WHO[control.who],
        when=control.when.value,
        check=sentence(Template(control.check)),
        ask=sentence(Template(control.ask)),
        takes_off=_takes_off(control),
        only_if=_only_if(control.condition, words),
        source=source_words(control.source),
    )


def _takes_off(control: Control) -> str:
    effect = control.effect
    said = [
        f"{steps} {'step' if steps == 1 else 'steps'} off {what}"
        for steps, what in (
            (effect.likelihood, "how likely"),
            (effect.consequence, "how bad"),
        )
        if steps
    ]
    return " and ".join(said)
