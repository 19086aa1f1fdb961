"""Where a number or a rule comes from, and how far to trust our copy of it."""

from dataclasses import dataclass
from enum import StrEnum

from jobs.domain.holds import Basis

CHECK_FIRST = "check before relying on it"
_SECOND_HAND = "secondary copy"


class Seen(StrEnum):
    """How the person who entered a value knew it."""

    READ = "read"  # read in the publication, or in a copy of it
    REMEMBERED = "remembered"  # nobody has read it while entering it
    COMPUTED = "computed"  # follows from the source by arithmetic


@dataclass(frozen=True, slots=True)
class Source:
    """A publication and the place in it, with its standing.

    ``clause`` is empty where a thing has no place in a publication: a common practice
    or a decision of the firm.
    """

    basis: Basis
    publisher: str = ""
    clause: str = ""
    url: str = ""
    seen: Seen = Seen.READ
    second_hand: bool = False  # read in somebody's copy, not at the publisher's

    @property
    def needs_check(self) -> bool:
        """Whether a reader must look it up before relying on it."""
        return self.seen is Seen.REMEMBERED and self.basis in (Basis.LAW, Basis.CODE)

    def cite(self) -> str:
        """One line for the page and the print: what it is, where, and the caution."""
        if self.basis is Basis.PRACTICE and not self.clause:
            return "common practice, no source"
        if self.basis is Basis.FIRM and not self.clause:
            return "firm's decision"
        notes = [str(self.basis)]
        if self.second_hand:
            notes.append(_SECOND_HAND)
        if self.needs_check:
            notes.append(CHECK_FIRST)
        place = ", ".join(part for part in (self.clause, self.publisher) if part)
        return f"{place} ({'; '.join(notes)})"
