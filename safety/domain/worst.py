"""What could hurt badly in a statement, said once each, for reading on a phone."""

from dataclasses import dataclass

from safety.domain.statement import Content

SERIOUS = 4  # consequence, of 5, from which it is said before signing; firm's decision


@dataclass(frozen=True, slots=True)
class Worst:
    """A hazard, the first thing done about it, and the steps it is in.

    ``steps`` are their numbers in the statement, empty where it is there all the time.
    """

    hazard: str
    control: str
    consequence: int
    steps: tuple[int, ...]

    @property
    def where(self) -> str:
        """The steps in words: "steps 5 to 9 and 12"."""
        if not self.steps:
            return "the whole job"
        spans = _spans(self.steps)
        word = "step" if len(self.steps) == 1 else "steps"
        return (
            f"{word} {', '.join(spans[:-1])} and {spans[-1]}"
            if len(spans) > 1
            else (f"{word} {spans[0]}")
        )


def worst_of(content: Content) -> tuple[Worst, ...]:
    """Hazards that could injure badly or kill, the worst first, then as they come.

    The same hazard with the same first control in several steps is one; figures in its
    name that differ from step to step keep it apart.
    """
    found: dict[tuple[str, str], Worst] = {}
    for step in content["steps"]:
        for line in step["lines"]:
            if int(line["initial"]["consequence"]) >= SERIOUS and line["controls"]:
                _add(found, step, line)
    return tuple(sorted(found.values(), key=lambda one: -one.consequence))


def _add(found: dict[tuple[str, str], Worst], step: Content, line: Content) -> None:
    key = line["name"], line["controls"][0]["text"]
    before = found.get(key)
    everywhere = step["whole_job"] or (before is not None and not before.steps)
    number = int(step["position"])
    steps = before.steps if before else ()
    found[key] = Worst(
        *key,
        consequence=max(
            int(line["initial"]["consequence"]), before.consequence if before else 0
        ),
        steps=() if everywhere else (*steps, *(() if number in steps else (number,))),
    )


def _spans(numbers: tuple[int, ...]) -> list[str]:
    spans: list[list[int]] = []
    for number in sorted(numbers):
        if spans and number == spans[-1][-1] + 1:
            spans[-1].append(number)
        else:
            spans.append([number])
    return [_span(span) for span in spans]


def _span(span: list[int]) -> str:
    if len(span) == 1:
        return str(span[0])
    return f"{span[0]} to {span[-1]}" if len(span) > 2 else f"{span[0]}, {span[1]}"
