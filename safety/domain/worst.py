"""What could hurt badly in a statement, said once each, for reading on a phone."""

from dataclasses import dataclass

from jobs.domain.spans import in_steps
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
        """The steps in words: "steps 5–9, 12"."""
        return in_steps(self.steps) if self.steps else "the whole job"


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
