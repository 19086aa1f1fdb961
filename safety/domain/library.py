"""The hazard library: hazards, their controls, and when each of them applies."""

from collections.abc import Mapping
from dataclasses import dataclass
from enum import StrEnum

from jobs.domain.roles import Role
from jobs.domain.sources import Source
from safety.domain.conditions import Condition
from safety.domain.hierarchy import Level
from safety.domain.plan import When
from safety.domain.risk import Effect
from safety.domain.templates import Template


class Scope(StrEnum):
    """Whether a hazard belongs to single steps or once to the whole job."""

    TASK = "task"
    JOB = "job"


@dataclass(frozen=True, slots=True)
class SourceRef:
    """The source of a hazard or control: written here, or a value of the pack.

    Where the pack of a place has no such value, ``source`` stands in: the control stays
    and is labelled as what it then is.
    """

    source: Source
    pack_key: str = ""


@dataclass(frozen=True, slots=True)
class Reason:
    """One sentence of "why it is here", used when its condition is met."""

    says: Template
    condition: Condition | None = None


@dataclass(frozen=True, slots=True)
class Raise:
    """A condition that makes the initial rating at least this."""

    condition: Condition
    says: Template
    likelihood: int
    consequence: int


@dataclass(frozen=True, slots=True)
class Control:
    """One control of a hazard. ``check`` and ``ask`` may have places like ``text``."""

    key: str
    text: Template
    level: Level
    effect: Effect
    who: Role
    when: When
    check: str
    source: SourceRef
    ask: str = ""
    condition: Condition | None = None


@dataclass(frozen=True, slots=True)
class Hazard:
    """One hazard: when it is there, why, how bad, and what is done about it.

    ``off`` is why the firm switched it off, empty while it is in use.
    """

    key: str
    name: Template
    theme: str
    scope: Scope
    harm: str
    condition: Condition
    reasons: tuple[Reason, ...]
    likelihood: int
    consequence: int
    raises: tuple[Raise, ...]
    source: SourceRef
    controls: tuple[Control, ...]
    topics: tuple[str, ...] = ()
    no_higher_control: str = ""
    off: str = ""


@dataclass(frozen=True, slots=True)
class HazardLibrary:
    """Hazards in the order of their files."""

    hazards: tuple[Hazard, ...]

    def by_key(self) -> Mapping[str, Hazard]:
        """Hazards by key."""
        return {hazard.key: hazard for hazard in self.hazards}

    def controls(self) -> tuple[Control, ...]:
        """Every control, hazard by hazard."""
        return tuple(c for hazard in self.hazards for c in hazard.controls)

    def topics(self) -> frozenset[str]:
        """The words under which hazards are filed for the pack's categories."""
        return frozenset(topic for hazard in self.hazards for topic in hazard.topics)
