"""Who uses shared plant when, beside a visit that somebody books by hand."""

from collections import defaultdict
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime

from scheduling.domain.calendar import Half, Slot, days_between
from scheduling.domain.problem import Plant
from scheduling.models import Visit
from scheduling.queries.bookings import bookings_between
from scheduling.queries.placing import Placing
from scheduling.queries.plant import FirmPlant, firm_plant
from scheduling.queries.slots import end_of, start_of


@dataclass(frozen=True, slots=True)
class Use:
    """Pieces of plant that are not to be had, from one half-day to another."""

    why: str
    first: Slot
    last: Slot
    count: int = 1

    def at(self, slot: Slot) -> bool:
        """Whether that half-day lies in it."""
        return self.first <= slot <= self.last


def plant_short(visit: Visit, there: Placing, at: datetime) -> Iterator[str]:
    """Shared plant of which too little is left for the visit there, and who has it.

    Two queries; two more when the visit needs any.
    """
    known = firm_plant(there.start.day, there.last.day, at)
    wanted = {need.plant: need.count for need in known.needs(visit)}
    if not wanted:
        return
    beside = _beside(visit, there, known)
    for plant in known.plant:
        if plant.key in wanted:
            yield from _short(plant, wanted[plant.key], beside[plant.key], there)


def _beside(visit: Visit, there: Placing, known: FirmPlant) -> Mapping[int, list[Use]]:
    """Who else has each plant around the place, by plant (id)."""
    found: dict[int, list[Use]] = defaultdict(list)
    for row in bookings_between(there.start.day, there.last.day).exclude(visit=visit):
        for need in known.needs(row.visit):
            use = Use(str(row.visit.job), start_of(row), end_of(row), need.count)
            found[need.plant].append(use)
    return found


def _short(
    plant: Plant, wanted: int, others: Sequence[Use], there: Placing
) -> Iterator[str]:
    """The first half-day on which too little is left."""
    out = [Use(row.why, row.first, row.last, row.count) for row in plant.out]
    for slot in _slots(there):
        gone = [use for use in (*others, *out) if use.at(slot)]
        if wanted + sum(use.count for use in gone) > plant.count:
            who = ", ".join(dict.fromkeys(use.why for use in gone))
            yield f"{plant.name}: none is free on {slot} ({who or 'there is none'})."
            return


def _slots(there: Placing) -> Iterator[Slot]:
    for day in days_between(there.start.day, there.last.day):
        for half in Half:
            if there.start <= Slot(day, half) <= there.last:
                yield Slot(day, half)
