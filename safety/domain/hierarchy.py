"""The hierarchy of controls: the order in which the law asks for them."""

from enum import StrEnum


class Level(StrEnum):
    """Where a control stands, strongest first.

    Source: model Work Health and Safety Regulations reg 36 (read in the copy of NT
    r 36): eliminate; then one or more of substitute, isolate and engineering, which
    stand on the same step; then administrative; then personal protective equipment.
    """

    ELIMINATE = "eliminate"
    SUBSTITUTE = "substitute"
    ISOLATE = "isolate"
    ENGINEERING = "engineering"
    ADMINISTRATIVE = "administrative"
    PPE = "ppe"

    @property
    def step(self) -> int:
        """The step of reg 36, 1 to 4."""
        return _STEPS[self]

    @property
    def place(self) -> int:
        """Order in a printed list, 0 first; within a step the order is only tidy."""
        return list(Level).index(self)

    @property
    def name_in_full(self) -> str:
        """The words on the page."""
        return _NAMES[self]


_STEPS = {
    Level.ELIMINATE: 1,
    Level.SUBSTITUTE: 2,
    Level.ISOLATE: 2,
    Level.ENGINEERING: 2,
    Level.ADMINISTRATIVE: 3,
    Level.PPE: 4,
}
_NAMES = {
    Level.ELIMINATE: "Take the hazard away",
    Level.SUBSTITUTE: "Swap for something safer",
    Level.ISOLATE: "Keep people away from it",
    Level.ENGINEERING: "Engineering control",
    Level.ADMINISTRATIVE: "Safe way of working",
    Level.PPE: "Protective equipment",
}
