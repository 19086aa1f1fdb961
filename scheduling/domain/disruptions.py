"""What goes wrong on an invented firm's Monday: rain, a crew lost, deliveries that slip."""

from collections.abc import Mapping, Sequence
from dataclasses import replace
from random import Random

from scheduling.domain.calendar import Slot
from scheduling.domain.problem import (
    Away,
    Crew,
    Job,
    Pin,
    Problem,
    Published,
    Ready,
    ReadyKind,
    Stop,
    Visit,
)
from scheduling.domain.solution import Booking

RAIN_HALVES = 3
LOST_HALVES = 6
NOW_SHARE = 0.15  # of the plan is behind us when it happens
SLIPPED_SHARE = 0.04  # of the jobs wait longer for a delivery
SLIP_HALVES = (6, 16)


def disrupted(problem: Problem, bookings: Sequence[Booking], seed: int) -> Problem:
    """The same firm some weeks on: the plan is published, and three things go wrong.

    Visits that have begun are pinned. It rains on the next three half-days, so nothing
    begins; one crew is away for six once what it is doing is done; some visits ahead wait
    for a delivery.
    """
    return _Monday(problem, bookings, seed).problem()


def delayed(
    problem: Problem, bookings: Sequence[Booking], job: int, halves: int
) -> Problem:
    """The published plan with nothing wrong but one job, which may only begin later."""
    first = min(b.start for b in bookings if b.job == job)
    calendar = problem.calendar
    at = calendar.index_from(first) + halves
    late = Ready(calendar.slot(at), "a late delivery", ReadyKind.DELIVERY)
    return replace(
        problem,
        jobs=tuple(
            replace(row, ready=(*row.ready, late)) if row.key == job else row
            for row in problem.jobs
        ),
        published=_published(bookings),
    )


class _Monday:
    def __init__(
        self, problem: Problem, bookings: Sequence[Booking], seed: int
    ) -> None:
        self.asked = problem
        self.bookings = bookings
        self.draw = Random(f"monday {seed}")  # noqa: S311 - invented, no secret
        self.calendar = problem.calendar
        last = max(self.calendar.index_from(b.last) for b in bookings)
        self.at = round(last * NOW_SHARE)
        self.now = self.calendar.slot(self.at)

    def problem(self) -> Problem:
        slips = self._slips()
        rain = Stop(self.now, self.calendar.slot(self.at + RAIN_HALVES - 1), "rain")
        return replace(
            self.asked,
            now=self.now,
            crews=self._crews(),
            jobs=tuple(self._job(job, slips) for job in self.asked.jobs),
            pins=tuple(Pin(b.visit, b.crew, b.start) for b in self._begun()),
            published=_published(self.bookings),
            stops=(rain,),
        )

    def _begun(self) -> list[Booking]:
        return [booking for booking in self.bookings if booking.start < self.now]

    def _crews(self) -> tuple[Crew, ...]:
        lost = self.draw.choice(self.asked.crews)
        busy = [b for b in self._begun() if b.crew == lost.key and b.last >= self.now]
        ends = [self.calendar.index_from(b.last) + 1 for b in busy]
        first = max(ends, default=self.at)
        gone = Away(
            self.calendar.slot(first),
            self.calendar.slot(first + LOST_HALVES - 1),
            "flu",
        )
        return tuple(
            replace(crew, away=(*crew.away, gone)) if crew is lost else crew
            for crew in self.asked.crews
        )

    def _slips(self) -> Mapping[int, Ready]:
        ahead = [b for b in self.bookings if b.start > self.now and b.crew is not None]
        count = max(1, round(SLIPPED_SHARE * len(self.asked.jobs)))
        return {
            booking.visit: Ready(
                self._later(booking.start), "a late delivery", ReadyKind.DELIVERY
            )
            for booking in self.draw.sample(ahead, min(count, len(ahead)))
        }

    def _later(self, start: Slot) -> Slot:
        at = self.calendar.index_from(start) + self.draw.randint(*SLIP_HALVES)
        return self.calendar.slot(min(at, len(self.calendar) - 1))

    def _job(self, job: Job, slips: Mapping[int, Ready]) -> Job:
        begun = {booking.visit for booking in self._begun()}
        return replace(
            job,
            visits=tuple(
                visit if visit.key in begun else self._visit(visit, slips)
                for visit in job.visits
            ),
        )

    def _visit(self, visit: Visit, slips: Mapping[int, Ready]) -> Visit:
        ready = (slips[visit.key],) if visit.key in slips else ()
        return replace(visit, ready=(*visit.ready, *ready), stops_in_rain=True)


def _published(bookings: Sequence[Booking]) -> tuple[Published, ...]:
    return tuple(Published(b.visit, b.crew, b.start) for b in bookings)
