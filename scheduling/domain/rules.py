"""Every rule about one visit and one crew, each asked on its own.

The search works with all rules rolled into one mask. Here they are kept apart, so that a
person can be told which of them says no to a start, and from when it would say yes.
"""

from collections.abc import Callable, Iterable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from enum import StrEnum
from functools import partial, reduce
from operator import or_

from scheduling.domain import masks
from scheduling.domain.abilities import Abilities, Modes
from scheduling.domain.calendar import Slot
from scheduling.domain.compiled import NOBODY, Compiled
from scheduling.domain.problem import Away, Job
from scheduling.domain.standing import Standing
from scheduling.domain.tables import Plan, Spot


class RuleKind(StrEnum):
    """What kind of thing stands in the way of a start."""

    READY = "something has to arrive or come back first"
    BEFORE = "an earlier visit has to be done first"
    PIN = "somebody has fixed it"
    SAME_CREW = "the crew that began the job finishes it"
    BOOKED = "the crew is booked"
    AWAY = "the crew is away"
    PEOPLE = "too few people"
    TICKET = "a ticket is missing"
    PLANT = "shared plant is in use"
    WEATHER = "weather"
    TODAY = "it is past"
    CALENDAR = "the calendar ends"
    STAY = "the crew shrinks on the way"  # when no rule above says it better


Hit = Callable[[int], list[Spot]]


def _nothing(start: int) -> tuple[int, ...]:
    return ()


def _same(visits: tuple[int, ...], start: int) -> tuple[int, ...]:
    return visits


def _visits_of(hit: Hit, start: int) -> tuple[int, ...]:
    return tuple(spot[0] for spot in hit(start))


def _always(words: str) -> Callable[[int], str]:
    return lambda start: words


@dataclass(frozen=True, slots=True)
class Rule:
    """One rule: the starts it allows, and in words why it does not allow one.

    ``blockers`` gives the visits (by index) behind a no, where it is visits.
    """

    kind: RuleKind
    allowed: int
    words: Callable[[int], str]
    blockers: Callable[[int], tuple[int, ...]] = _nothing

    def says_no(self, start: int) -> bool:
        """Whether the visit may not start there for this reason."""
        return not self.allowed >> start & 1


class RuleBook:
    """The rules of one problem around one plan (by job; None where not placed)."""

    def __init__(self, compiled: Compiled, plan: Plan) -> None:
        self.compiled = compiled
        self.problem = compiled.problem
        self.plan = plan
        self.calendar = compiled.problem.calendar
        self.every = masks.span(0, compiled.horizon)
        self.abilities = Abilities(compiled.problem)
        self.spots = {spot[0]: spot for spots in plan for spot in spots or ()}
        self.records = [v for job in self.problem.jobs for v in job.visits]
        self.crews = [crew.key for crew in self.problem.crews]
        self.pins = {pin.visit: pin for pin in self.problem.pins}
        self._standing = Standing(compiled, self.spots)
        self._wet: dict[int, int] = {}

    @contextmanager
    def without(self, job: int) -> Iterator[None]:
        """The same plan less one job, for as long as the ``with`` lasts."""
        spots = self.plan[job]
        self.plan[job] = None
        for spot in spots or ():
            del self.spots[spot[0]]
        try:
            yield
        finally:
            self.plan[job] = spots
            self.spots.update({spot[0]: spot for spot in spots or ()})

    def refusals(self, visit: int, crew: int, start: int) -> list[Rule]:
        """Rules that say no to that start with that crew, the plan standing still."""
        found = [rule for rule in self.rules(visit, crew) if rule.says_no(start)]
        named = [rule for rule in found if rule.kind is not RuleKind.STAY]
        return named or found

    def rules(self, visit: int, crew: int) -> Iterator[Rule]:
        """All rules about a visit and a crew, in the order in which they are named.

        The job's own other visits are taken to be where they are.
        """
        yield from self._ready(visit)
        yield from self._order(visit)
        yield from self._fixed(visit, crew)
        if crew != NOBODY:
            yield from self._bookings(visit, crew)
            yield from self._people(visit, crew)
        yield from self._plant(visit, crew)
        yield from self._weather(visit)
        yield from self._ends(visit, crew)

    def halves(self, visit: int, crew: int, start: int) -> int:
        """Half-days the visit takes from there; its shortest where it cannot start."""
        modes = self._modes(visit, crew)
        at = [mode.halves for mode in modes if mode.starts >> start & 1]
        return min(at or [mode.halves for mode in modes] or [self._nominal(visit)])

    def soonest(self, visit: int, crew: int, allowed: int) -> tuple[int, int] | None:
        """Start and half-days of the soonest end among these starts; None without any.

        Of two that end together the later, shorter one: it leaves more room before it.
        """
        if not allowed:
            return None
        found = [
            (start + mode.halves, mode.halves)
            for mode in self._modes(visit, crew)
            if (start := masks.first_at(mode.starts & allowed, 0)) >= 0
        ]
        if not found:  # the rule about people is left out
            start = masks.first_at(allowed, 0)
            return start, self.halves(visit, crew, start)
        end, halves = min(found)
        return end - halves, halves

    def _ready(self, visit: int) -> Iterator[Rule]:
        for ready in (*self._job(visit).ready, *self.records[visit].ready):
            first = self._from(self.calendar.index_from(ready.first))
            yield Rule(RuleKind.READY, first, _always(f"Waits for: {ready.why}."))

    def _order(self, visit: int) -> Iterator[Rule]:
        links = self.compiled.visits[visit].links
        for link, after in zip(links, self.records[visit].after, strict=True):
            spot = self.spots.get(link.before)
            if spot is None:
                continue
            end, name = spot[2] + spot[3], self.records[link.before].name
            why = f" ({after.why})" if after.why else ""
            words = f"“{name}” has to be done first: {self._slot(end - 1)}{why}."
            first = self._from(link.table[end])
            before = (link.before,)
            yield Rule(RuleKind.BEFORE, first, _always(words), partial(_same, before))

    def _fixed(self, visit: int, crew: int) -> Iterator[Rule]:
        pin = self.pins.get(self.records[visit].key)
        if pin is not None and pin.start is not None:
            at = self.calendar.index(pin.start)
            allowed = 0 if at is None else 1 << at
            yield Rule(RuleKind.PIN, allowed, _always(f"It is pinned to {pin.start}."))
        if crew == NOBODY:
            return
        if pin is not None and pin.crew not in (None, self.crews[crew]):
            yield Rule(RuleKind.PIN, 0, _always("It is pinned to another crew."))
        others = self._other_crews(visit, crew)
        if others:
            words = f"{self._name(others[0][1])} does the rest of the job."
            blockers = tuple(spot[0] for spot in others)
            yield Rule(RuleKind.SAME_CREW, 0, _always(words), partial(_same, blockers))

    def _bookings(self, visit: int, crew: int) -> Iterator[Rule]:
        standing, beside = self._standing, self._standing.beside(visit)
        for other in self.compiled.shares[crew]:
            busy = standing.busy(other, visit)
            booked = partial(standing.of_crew, other, visit, beside)
            hit = partial(self._hit, visit, crew, booked)
            yield Rule(
                RuleKind.BOOKED,
                self._fits(visit, crew, self.every & ~busy),
                partial(self._booked_words, other, hit),
                partial(_visits_of, hit),
            )

    def _people(self, visit: int, crew: int) -> Iterator[Rule]:
        record = self.records[visit]
        team = self.abilities.teams[self.crews[crew]]
        yield Rule(
            RuleKind.AWAY,
            self._fits(visit, crew, team.open),
            partial(self._away_words, visit, crew),
        )
        need = min(record.halves)
        enough = team.at_least[need] if need < len(team.at_least) else 0
        gone = self.every & ~team.open  # said once, above
        yield Rule(
            RuleKind.PEOPLE,
            self._fits(visit, crew, enough | gone),
            partial(self._people_words, visit, crew, need),
        )
        for kind in record.tickets:
            words = f"Nobody of {self._name(crew)} there holds the ticket “{kind}”."
            held = self._fits(visit, crew, team.holders.get(kind, 0) | gone)
            yield Rule(RuleKind.TICKET, held, _always(words))

    def _plant(self, visit: int, crew: int) -> Iterator[Rule]:
        standing, beside = self._standing, self._standing.beside(visit)
        for plant, pieces in self.compiled.visits[visit].needs:
            record = self.problem.plant[plant]
            left = standing.left(plant, pieces, visit) & self.every
            users = partial(standing.of_plant, plant, visit, beside)
            hit = partial(self._hit, visit, crew, users)
            yield Rule(
                RuleKind.PLANT,
                self._fits(visit, crew, left),
                _always(f"{record.name}: all {record.count} in use."),
                partial(_visits_of, hit),
            )

    def _weather(self, visit: int) -> Iterator[Rule]:
        record = self.records[visit]
        if record.not_begun:
            wet = self._wet_mask(visit)
            words = partial(self._wet_words, visit)
            yield Rule(RuleKind.WEATHER, self.every & ~wet, words)
        if record.stops_in_rain:
            stopped = self.abilities.stopped(self._job(visit))
            words = partial(self._stop_words, visit)
            yield Rule(RuleKind.WEATHER, self.every & ~stopped, words)

    def _ends(self, visit: int, crew: int) -> Iterator[Rule]:
        """Where time itself begins and ends, and what no rule above says better."""
        now = self.compiled.now
        pin = self.pins.get(self.records[visit].key)
        if pin is None or pin.start is None:
            words = f"The plan begins on {self._slot(now)}."
            yield Rule(RuleKind.TODAY, self._from(now), _always(words))
        fits = self._fits(visit, crew, self.every, beyond=0)
        end = f"The calendar ends on {self._slot(self.compiled.horizon - 1)}."
        yield Rule(RuleKind.CALENDAR, fits, _always(end))
        able = reduce(or_, (mode.starts for mode in self._modes(visit, crew)), 0)
        stays = _always("The crew cannot stay until it is done.")
        yield Rule(RuleKind.STAY, able, stays)

    # -- what the rules are made of

    def _fits(self, visit: int, crew: int, free: int, *, beyond: int = -1) -> int:
        """Starts whose whole length lies in ``free``; ``beyond`` the calendar is free."""
        free |= beyond << self.compiled.horizon
        allowed = 0
        rest = self.every
        for mode in self._modes(visit, crew):
            allowed |= mode.starts & masks.runs(free, mode.halves)
            rest &= ~mode.starts
        return allowed | (rest & masks.runs(free, self._nominal(visit)))

    def _modes(self, visit: int, crew: int) -> Modes:
        job = self._job(visit)
        key = None if crew == NOBODY else self.crews[crew]
        stopped = self.abilities.stopped(job) if self.problem.stops else 0
        return self.abilities.modes(key, self.records[visit], stopped)

    def _nominal(self, visit: int) -> int:
        return min(self.records[visit].halves.values())

    def _from(self, slot: int) -> int:
        return self.every >> slot << slot

    def _job(self, visit: int) -> Job:
        return self.problem.jobs[self.compiled.visits[visit].job]

    def _name(self, crew: int) -> str:
        return self.problem.crews[crew].name

    def _slot(self, index: int) -> Slot:
        return self.calendar.slot(min(index, self.compiled.horizon - 1))

    def _other_crews(self, visit: int, crew: int) -> tuple[Spot, ...]:
        job = self.compiled.visits[visit].job
        if not self.compiled.jobs[job].one_crew:
            return ()
        return tuple(
            spot
            for spot in self.plan[job] or ()
            if spot[1] not in (NOBODY, crew) and spot[0] != visit
        )

    def _wet_mask(self, visit: int) -> int:
        if visit not in self._wet:
            rows = self.records[visit].not_begun
            spans = (masks.between(self.calendar, a.first, a.last) for a in rows)
            self._wet[visit] = reduce(or_, spans, 0)
        return self._wet[visit]

    def _hit(
        self, visit: int, crew: int, spots: Callable[[], list[Spot]], start: int
    ) -> list[Spot]:
        """Which of the bookings the visit would run into, begun there."""
        end = start + self.halves(visit, crew, start)
        return [s for s in spots() if s[2] < end and start < s[2] + s[3]]

    # -- words

    def _booked_words(self, crew: int, hit: Hit, start: int) -> str:
        spots = hit(start)
        jobs = dict.fromkeys(self._job(spot[0]).name for spot in spots)
        last = max(spot[2] + spot[3] for spot in spots) - 1
        return f"{self._name(crew)} is on {', '.join(jobs)} until {self._slot(last)}."

    def _away_words(self, visit: int, crew: int, start: int) -> str:
        why = self._reasons(self.problem.crews[crew].away, visit, crew, start)
        because = f" ({', '.join(why)})" if why else ""
        return f"{self._name(crew)} is away{because}."

    def _people_words(self, visit: int, crew: int, need: int, start: int) -> str:
        people = {person.key: person for person in self.problem.people}
        missing = [
            f"{people[member.person].name}: {', '.join(why)}"
            for member in self.problem.crews[crew].members
            if (why := self._reasons(people[member.person].away, visit, crew, start))
        ]
        away = f" ({'; '.join(missing)})" if missing else ""
        return f"It takes {need} people; {self._name(crew)} has fewer then{away}."

    def _wet_words(self, visit: int, start: int) -> str:
        slot = self.calendar.slot(start)
        rows = self.records[visit].not_begun
        why = [row.why for row in rows if row.first <= slot <= row.last]
        return f"Not begun then: {', '.join(dict.fromkeys(why))}."

    def _stop_words(self, visit: int, start: int) -> str:
        job, slot = self._job(visit), self.calendar.slot(start)
        why = [
            stop.why
            for stop in self.problem.stops
            if stop.first <= slot <= stop.last
            and (stop.jobs is None or job.key in stop.jobs)
        ]
        return f"Work is stopped then: {', '.join(why)}."

    def _reasons(
        self, away: Iterable[Away], visit: int, crew: int, start: int
    ) -> list[str]:
        """Why somebody is missing at some time of the visit, begun there."""
        span = masks.span(start, start + self.halves(visit, crew, start))
        return [
            row.why
            for row in away
            if masks.between(self.calendar, row.first, row.last) & span
        ]
