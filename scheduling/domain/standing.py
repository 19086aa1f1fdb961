"""What a plan has taken: crews and plant, as the visit that is asked about sees them.

The job's own other visits count where they are tried, not where the plan has them.
"""

from collections.abc import Iterable, Sequence
from functools import reduce
from operator import or_

from scheduling.domain import masks
from scheduling.domain.compiled import NOBODY, Compiled
from scheduling.domain.tables import Spot
from scheduling.domain.tally import Tally


class Standing:
    """Bookings of one plan. ``spots`` (by visit) may be changed to try something out."""

    def __init__(self, compiled: Compiled, spots: dict[int, Spot]) -> None:
        self.compiled = compiled
        self.spots = spots
        self._planned = dict(spots)
        self._busy = [0] * len(compiled.shares)
        self._users: list[list[Spot]] = [[] for _ in compiled.plant]
        self._tallies = [Tally(plant.count) for plant in compiled.plant]
        for plant, tally in zip(compiled.plant, self._tallies, strict=True):
            for slots, out in plant.out:
                tally.add(slots, out)
        for spot in spots.values():
            self._stand(spot)

    def _stand(self, spot: Spot) -> None:
        if spot[1] != NOBODY:
            self._busy[spot[1]] |= slots_of((spot,))
        for plant, pieces in self.compiled.visits[spot[0]].needs:
            self._users[plant].append(spot)
            self._tallies[plant].add(slots_of((spot,)), pieces)

    def beside(self, visit: int) -> list[Spot]:
        """Where the job's other visits are, or are tried at the moment."""
        job = self.compiled.jobs[self.compiled.visits[visit].job]
        return [self.spots[v] for v in job.visits if v != visit and v in self.spots]

    def busy(self, crew: int, visit: int) -> int:
        """Slots on which a crew is booked."""
        own = (s for s in self._own(visit) if s[1] == crew)
        beside = (s for s in self.beside(visit) if s[1] == crew)
        return self._busy[crew] & ~slots_of(own) | slots_of(beside)

    def of_crew(self, crew: int, visit: int, beside: Sequence[Spot]) -> list[Spot]:
        """Bookings of a crew, where ``beside`` are the job's other visits."""
        booked = [s for s in self._planned.values() if s[1] == crew]
        far = (s for s in booked if not self._same_job(s, visit))
        return [*far, *(s for s in beside if s[1] == crew)]

    def of_plant(self, plant: int, visit: int, beside: Sequence[Spot]) -> list[Spot]:
        """Bookings that use the plant, likewise."""
        far = (s for s in self._users[plant] if not self._same_job(s, visit))
        return [s for s in (*far, *beside) if self._pieces(s, plant)]

    def left(self, plant: int, pieces: int, visit: int) -> int:
        """Slots on which so many pieces are left (bits beyond time are set)."""
        tally = self._tallies[plant]
        own = [s for s in self._own(visit) if self._pieces(s, plant)]
        beside = [s for s in self.beside(visit) if self._pieces(s, plant)]
        for spot in own:
            tally.remove(slots_of((spot,)), self._pieces(spot, plant))
        for spot in beside:
            tally.add(slots_of((spot,)), self._pieces(spot, plant))
        left = tally.room_for(pieces)
        for spot in beside:
            tally.remove(slots_of((spot,)), self._pieces(spot, plant))
        for spot in own:
            tally.add(slots_of((spot,)), self._pieces(spot, plant))
        return left

    def _own(self, visit: int) -> list[Spot]:
        """Where the plan has the job's visits."""
        job = self.compiled.jobs[self.compiled.visits[visit].job]
        return [self._planned[v] for v in job.visits if v in self._planned]

    def _same_job(self, spot: Spot, visit: int) -> bool:
        visits = self.compiled.visits
        return visits[spot[0]].job == visits[visit].job

    def _pieces(self, spot: Spot, plant: int) -> int:
        needs = self.compiled.visits[spot[0]].needs
        return sum(pieces for number, pieces in needs if number == plant)


def slots_of(spots: Iterable[Spot]) -> int:
    """Slots that visits take."""
    return reduce(or_, (masks.span(s[2], s[2] + s[3]) for s in spots), 0)
