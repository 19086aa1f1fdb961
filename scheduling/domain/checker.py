"""Check a plan against the rules, by hand as it were.

Written apart from the engine: it reads the bookings and the problem, walks through the
half-days one by one, and shares no table and no mask with what made the plan.
"""

from collections import Counter, defaultdict
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from datetime import timedelta
from fractions import Fraction
from math import ceil

from jobs.domain.methods import LagKind
from scheduling.domain.calendar import Half, Slot
from scheduling.domain.problem import After, Away, Job, Problem, Visit
from scheduling.domain.solution import Booking


@dataclass(frozen=True, slots=True)
class Violation:
    """A broken rule in words, and the visits it is about."""

    says: str
    visits: tuple[int, ...]


def violations(problem: Problem, bookings: Iterable[Booking]) -> tuple[Violation, ...]:
    """Every rule that the bookings break; none for a plan that can be published.

    A job with one visit booked must have all of them booked.
    """
    return tuple(_Checker(problem, tuple(bookings)).find())


class _Checker:
    def __init__(self, problem: Problem, bookings: tuple[Booking, ...]) -> None:
        self.problem = problem
        self.calendar = problem.calendar
        self.people = {person.key: person for person in problem.people}
        self.crews = {crew.key: crew for crew in problem.crews}
        self.visits = {v.key: (job, v) for job in problem.jobs for v in job.visits}
        self.strange = [b for b in bookings if b.visit not in self.visits]
        self.bookings = [b for b in bookings if b.visit in self.visits]
        self.booked = {booking.visit: booking for booking in self.bookings}
        self.pins = {pin.visit: pin for pin in problem.pins}

    def find(self) -> Iterator[Violation]:
        for booking in self.strange:
            yield Violation("A booking of a visit nobody asked for.", (booking.visit,))
        for booking in self.bookings:
            job, visit = self.visits[booking.visit]
            for says in self._about(booking, job, visit):
                yield self._broken(says, booking)
        for job in self.problem.jobs:
            yield from self._whole(job)
        yield from self._twice()
        yield from self._plant()

    # -- one booking

    def _about(self, booking: Booking, job: Job, visit: Visit) -> Iterator[str]:
        yield from self._times(booking)
        yield from self._waits(booking, job, visit)
        yield from self._pinned(booking)
        if visit.needs_crew != (booking.crew is not None):
            yield "a crew is missing, or there is one too many"
        elif booking.crew is not None and booking.crew not in self.crews:
            yield "its crew does not exist"
        else:
            yield from self._work(booking, job, visit)

    def _times(self, booking: Booking) -> Iterator[str]:
        slots = self._slots(booking)
        if not slots or slots[0] != booking.start or slots[-1] != booking.last:
            yield "it starts or ends on a half-day that is not worked"
        elif len(slots) != booking.halves:
            yield f"it lies on {len(slots)} half-days, not {booking.halves}"

    def _waits(self, booking: Booking, job: Job, visit: Visit) -> Iterator[str]:
        pin = self.pins.get(booking.visit)
        pinned = pin is not None and pin.start == booking.start
        if booking.start < self.problem.now and not pinned:
            yield "it starts in the past"
        for ready in (*job.ready, *visit.ready):
            if booking.start < ready.first:
                yield f"it does not wait for: {ready.why}"
        for away in visit.not_begun if not pinned else ():
            if away.first <= booking.start <= away.last:
                yield f"it is begun in spite of: {away.why}"

    def _pinned(self, booking: Booking) -> Iterator[str]:
        pin = self.pins.get(booking.visit)
        if pin is None:
            return
        if pin.start is not None and pin.start != booking.start:
            yield "it is not where it was pinned"
        if pin.crew is not None and booking.crew not in (None, pin.crew):
            yield "it is not with the crew it was pinned to"

    def _work(self, booking: Booking, job: Job, visit: Visit) -> Iterator[str]:
        """People and tickets on every half-day, and just enough time for the work."""
        done, before, rate = Fraction(0), Fraction(0), Fraction(0)
        for slot in self._slots(booking):
            people = self._present(booking.crew, slot)
            if visit.needs_crew:
                yield from self._lacks(people, visit, slot)
            size = len(people) if visit.needs_crew else min(visit.halves)
            rate = self._rate(job, visit, slot, size)
            if slot == booking.start and not rate:
                yield f"work is stopped on {slot}"
            before, done = done, done + rate
        spare = rate / 2 + Fraction(1, 50) if self._seasonal(visit) else Fraction(0)
        if done + spare < 1:
            yield "there is not enough time for the work"
        if before + spare * 2 >= 1 and before >= 1:
            yield "it lasts longer than the work"

    def _lacks(self, people: set[int], visit: Visit, slot: Slot) -> Iterator[str]:
        if len(people) < min(visit.halves):
            yield f"too few people on {slot}"
        for kind in visit.tickets:
            tickets = (t for key in people for t in self.people[key].tickets)
            if not any(t.kind == kind and t.holds_on(slot.day) for t in tickets):
                yield f"nobody holds the ticket “{kind}” on {slot}"

    def _rate(self, job: Job, visit: Visit, slot: Slot, people: int) -> Fraction:
        """Share of the visit's work that is done in one half-day."""
        sizes = [size for size in visit.halves if size <= people]
        if not sizes:
            return Fraction(0)
        rate = Fraction(1, visit.halves[max(sizes)])
        if not visit.stops_in_rain:
            return rate
        for stop in self.problem.stops:
            here = stop.jobs is None or job.key in stop.jobs
            if here and stop.first <= slot <= stop.last:
                return Fraction(0)
        if visit.rain_counted:
            return rate
        return rate * (100 - self.problem.rain_percent[slot.day.month - 1]) / 100

    def _seasonal(self, visit: Visit) -> bool:
        lengthened = visit.stops_in_rain and not visit.rain_counted
        return lengthened and any(self.problem.rain_percent)

    # -- one job

    def _whole(self, job: Job) -> Iterator[Violation]:
        booked = [self.booked[v.key] for v in job.visits if v.key in self.booked]
        if booked and len(booked) < len(job.visits):
            yield self._broken("some visits of the job are not booked", *booked)
        for visit in job.visits:
            for after in visit.after:
                if visit.key in self.booked and after.visit in self.booked:
                    yield from self._order(visit, after)
        crews = {booking.crew for booking in booked} - {None}
        if job.one_crew and len(crews) > 1:
            yield self._broken("more than one crew works on the job", *booked)

    def _order(self, visit: Visit, after: After) -> Iterator[Violation]:
        this, before = self.booked[visit.key], self.booked[after.visit]
        if after.lag_kind is LagKind.CALENDAR:
            free = self.calendar.ends_at(before.last)
            free += timedelta(minutes=round(after.lag_hours * 60))
            early = self.calendar.starts_at(this.start) < free
        else:
            length = self.calendar.hours.minutes(Half.AM)
            halves = ceil(round(after.lag_hours * 60) / length)
            between = [s for s in self.calendar.slots if before.last < s < this.start]
            early = this.start <= before.last or len(between) < halves
        if early:
            yield self._broken("it does not wait for the visit before it", this, before)

    # -- what bookings share

    def _twice(self) -> Iterator[Violation]:
        at: dict[tuple[Slot, str], list[Booking]] = defaultdict(list)
        for booking in self.bookings:
            for slot in self._slots(booking) if booking.crew in self.crews else ():
                at[slot, f"crew {booking.crew}"].append(booking)
                for person in self._present(booking.crew, slot):
                    at[slot, self.people[person].name].append(booking)
        for (slot, who), rows in at.items():
            if len(rows) > 1:
                yield self._broken(f"{who} is booked twice on {slot}", *rows)

    def _plant(self) -> Iterator[Violation]:
        used: Counter[tuple[int, Slot]] = Counter()
        for booking in self.bookings:
            for need in self.visits[booking.visit][1].plant:
                for slot in self._slots(booking):
                    used[need.plant, slot] += need.count
        owned = {plant.key: plant for plant in self.problem.plant}
        for (key, slot), count in used.items():
            plant = owned[key]
            out = sum(row.count for row in plant.out if row.first <= slot <= row.last)
            if count > max(0, plant.count - out):
                yield Violation(f"{count} × {plant.name} in use on {slot}", ())

    # -- what is where

    def _slots(self, booking: Booking) -> list[Slot]:
        return [s for s in self.calendar.slots if booking.start <= s <= booking.last]

    def _present(self, crew: int | None, slot: Slot) -> set[int]:
        record = self.crews.get(crew) if crew is not None else None
        if record is None or _gone(record.away, slot):
            return set()
        return {
            member.person
            for member in record.members
            if member.counts_on(slot.day)
            and not _gone(self.people[member.person].away, slot)
        }

    def _broken(self, says: str, *bookings: Booking) -> Violation:
        job, visit = self.visits[bookings[0].visit]
        visits = tuple(booking.visit for booking in bookings)
        return Violation(f"{job.name}, {visit.name}: {says}.", visits)


def _gone(away: Iterable[Away], slot: Slot) -> bool:
    return any(row.first <= slot <= row.last for row in away)
