"""The firm's whole scheduling problem, from its rows."""

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import date, datetime, timedelta
from math import ceil

from jobs.domain.methods import LagKind
from jobs.models import Firm, Job
from scheduling.domain.calendar import Slot, WorkCalendar, say_day
from scheduling.domain.problem import (
    After,
    Away,
    Pin,
    Plant,
    PlantNeed,
    Problem,
    Published,
    Ready,
    Stop,
)
from scheduling.domain.problem import Job as JobAsked
from scheduling.domain.problem import Visit as VisitAsked
from scheduling.models import Booking, LostDay, Visit
from scheduling.queries.calendar import calendar_between, next_slot
from scheduling.queries.cuts import JobCut, job_cuts
from scheduling.queries.firm_people import FirmPeople, firm_people, ticket_name
from scheduling.queries.plan_choice import plan_choice
from scheduling.queries.plant import FirmPlant, firm_plant
from scheduling.queries.readiness import (
    Release,
    links_ready,
    materials_ready,
    releases,
)
from scheduling.queries.slots import as_slot, end_of, halves_of, start_of
from scheduling.queries.travel import travel_minutes
from scheduling.queries.visits import current_visits, progress_of

HORIZON = timedelta(weeks=52)


@dataclass(slots=True)
class Loaded:
    """The problem as the engine takes it, and the rows behind its keys.

    ``begun`` maps visits that are on site now to the half-day they really began on.
    """

    problem: Problem
    visits: Mapping[int, Visit]
    begun: Mapping[int, Slot]
    notes: list[str] = field(default_factory=list)


@dataclass(frozen=True, slots=True)
class _Frame:
    """What every job of the problem shares."""

    firm: Firm
    calendar: WorkCalendar
    now: Slot
    releases: Mapping[int, Release]
    materials: Mapping[int, list[tuple[Ready, frozenset[int]]]]
    lost: Sequence[LostDay]  # called off as things stand
    ever_lost: Sequence[LostDay]  # and those that were, and are not any more
    cuts: Mapping[int, JobCut]
    people: FirmPeople
    plant: FirmPlant
    rain: tuple[int, ...]

    def can_go_on(self, crew_id: int, left: Sequence[Slot]) -> bool:
        """Whether somebody of the crew is there on every one of these half-days."""
        known = self.people.roster
        return all(known.present(crew_id, slot.day) for slot in left)


def open_jobs() -> list[Job]:
    """Jobs that the schedule is about, with their sites. One query."""
    return list(Job.objects.open().select_related("site").order_by("number"))


def load_problem(jobs: Sequence[Job], firm: Firm, at: datetime) -> Loaded:
    """The problem of these jobs at one moment, for crews, people and plan as they are.

    A fixed number of queries beside the hold registry's own. Visits must be in step with
    their sequences.
    """
    now = next_slot(firm, at)
    calendar = calendar_between(firm, now.day, now.day + HORIZON)
    people = firm_people(now.day, now.day + HORIZON, at)
    ever_lost = _ever_lost(now.day, at)
    frame = _Frame(
        firm=firm,
        calendar=calendar,
        now=now,
        releases=releases(jobs, at),
        materials=materials_ready(jobs, at, calendar),
        lost=[row for row in ever_lost if _off_at(row, at)],
        ever_lost=ever_lost,
        cuts=job_cuts(jobs, firm),
        people=people,
        plant=firm_plant(now.day, now.day + HORIZON, at),
        rain=plan_choice().rain,
    )
    rows: dict[int, list[Visit]] = defaultdict(list)
    for visit in current_visits(jobs):
        rows[visit.job_id].append(visit)
    asked = [_JobReader(frame, job, rows[job.pk]) for job in jobs]
    jobs_asked = [reader.job_asked() for reader in asked if reader.open_visits]
    return Loaded(
        problem=Problem(
            calendar=calendar,
            now=now,
            people=people.people,
            crews=people.crews,
            jobs=tuple(jobs_asked),
            plant=_plant_left(frame.plant, asked),
            travel_min=travel_minutes(people.rows, jobs),
            pins=tuple(pin for reader in asked for pin in reader.pins),
            published=tuple(row for reader in asked for row in reader.published),
            stops=_stops(frame.lost),
            rain_percent=frame.rain,
        ),
        visits={v.pk: v for reader in asked for v in reader.open_visits},
        begun={pk: slot for r in asked for pk, slot in r.begun.items()},
        notes=[note for reader in asked for note in reader.notes],
    )


def _ever_lost(first: date, at: datetime) -> list[LostDay]:
    return list(LostDay.objects.filter(day__gte=first, recorded_at__lte=at))


def _off_at(lost: LostDay, at: datetime) -> bool:
    """Whether the day was called off at a moment."""
    undone = lost.cancelled_at is not None and lost.cancelled_at <= at
    return lost.recorded_at <= at and not undone


def _stops(lost: Iterable[LostDay]) -> tuple[Stop, ...]:
    return tuple(
        Stop(
            first=as_slot(row.day, "am"),
            last=as_slot(row.day, "pm"),
            why=row.reason,
            jobs=frozenset({row.job_id}) if row.job_id else None,
        )
        for row in lost
    )


def _plant_left(plant: FirmPlant, asked: Iterable["_JobReader"]) -> tuple[Plant, ...]:
    """Plant less what is in use on site now: that stays there until the visit is over."""
    kept = [row for reader in asked for row in reader.plant_on_site]
    return tuple(
        replace(one, out=(*one.out, *(away for key, away in kept if key == one.key)))
        for one in plant.plant
    )


class _JobReader:
    """Turns one job's rows into what the engine is asked about it."""

    def __init__(self, frame: _Frame, job: Job, visits: Sequence[Visit]) -> None:
        self.frame, self.job = frame, job
        self.progress = {visit.ordinal: progress_of(visit) for visit in visits}
        self.open_visits = [v for v in visits if not self.progress[v.ordinal].done]
        self.keys = {visit.ordinal: visit.pk for visit in self.open_visits}
        self.pins: list[Pin] = []
        self.published: list[Published] = []
        self.begun: dict[int, Slot] = {}
        self.notes: list[str] = []
        self.plant_on_site: list[tuple[int, Away]] = []  # with the plant's key
        self.called_off = {
            row.day for row in frame.lost if row.job_id in {None, job.pk}
        }
        if not visits:
            self.notes.append(
                f"{job} is left out: it has no visits yet. Set its dimensions first."
            )

    def job_asked(self) -> JobAsked:
        """The job with its visits that are not done."""
        return JobAsked(
            key=self.job.pk,
            name=str(self.job),
            visits=tuple(self._visit(visit) for visit in self.open_visits),
            promised=self.job.promised_on,
            wanted=self.job.wanted_on,
            weight=self.job.weight,
            tentative=self.frame.releases[self.job.pk].tentative,
        )

    def _visit(self, visit: Visit) -> VisitAsked:
        booking = _live_booking(visit)
        halves = {int(people): count for people, count in visit.halves.items()}
        ready = self._ready(visit)
        if booking is not None and start_of(booking) < self.frame.now:
            left = self._left_on_site(visit, booking)
            if left is not None:
                asked = self._asked(visit, {1: left}, ())
                return replace(asked, rain_counted=True)
            halves = self._overrun(visit, booking, halves)
        elif booking is not None:
            self.published.append(
                Published(visit.pk, booking.crew_id, start_of(booking))
            )
            if booking.is_pinned:
                self._hold_pinned(visit, booking)
        needs = self.frame.plant.needs(visit)
        return self._asked(visit, halves, ready, self._tickets(visit), needs)

    def _asked(
        self,
        visit: Visit,
        halves: Mapping[int, int],
        ready: tuple[Ready, ...],
        tickets: tuple[str, ...] = (),
        plant: tuple[PlantNeed, ...] = (),
    ) -> VisitAsked:
        return VisitAsked(
            key=visit.pk,
            name=visit.name,
            halves=halves,
            tickets=tickets,
            plant=plant,
            ready=ready,
            after=tuple(
                After(
                    self.keys[link["after"]],
                    link["lag_hours"],
                    LagKind(link["lag_kind"]),
                    link["why"],
                )
                for link in visit.links
                if link["after"] in self.keys
            ),
            not_begun=self._not_begun(visit),
            stops_in_rain=self._stops(visit),
            needs_crew=not visit.trade,
        )

    def _tickets(self, visit: Visit) -> tuple[str, ...]:
        return tuple(ticket_name(kind) for kind in visit.tickets)

    def _stops(self, visit: Visit) -> bool:
        """Whether rain stops the visit. A day called off is called off for every task.

        But where the firm allows for rain, that lengthens whatever stops in rain: then
        other visits only stop when a day called off lies within them.
        """
        if visit.stops_in_rain or not any(self.frame.rain):
            return visit.stops_in_rain or bool(self.called_off)
        booking = _live_booking(visit)
        return booking is not None and any(
            booking.start_on <= day <= booking.end_on for day in self.called_off
        )

    def _not_begun(self, visit: Visit) -> tuple[Away, ...]:
        """Days called off, for visits that do not stop on them."""
        if self._stops(visit):
            return ()
        return tuple(
            Away(as_slot(row.day, "am"), as_slot(row.day, "pm"), row.reason)
            for row in self.frame.lost
            if row.job_id in {None, self.job.pk}
        )

    def _ready(self, visit: Visit) -> tuple[Ready, ...]:
        tasks = {task.pk for task in visit.tasks.all() if task.done_at is None}
        waits = self.frame.materials[self.job.pk]
        material = [ready for ready, needers in waits if needers & tasks]
        done = {o: p for o, p in self.progress.items() if p.done}
        return (
            *self.frame.releases[self.job.pk].ready,
            *material,
            *links_ready(visit, done, self.frame.firm, self.frame.calendar),
        )

    def _left_on_site(self, visit: Visit, booking: Booking) -> int | None:
        """Half-days left of a visit on site now, held where it is; None when over."""
        now = self.frame.now
        left = [s for s in halves_of(booking, self.frame.calendar) if s >= now]
        if not left:
            return None
        idle = self._known_idle(booking)
        work = [slot for slot in left if slot.day not in idle]
        start = next(
            (s for s in self.frame.calendar.slots if s >= now and self._worked(s)), now
        )
        self.begun[visit.pk] = start_of(booking)
        on_site = Away(now, left[-1], f"on {self.job}")
        self.plant_on_site += [
            (need.plant, on_site) for need in self.frame.plant.needs(visit)
        ]
        stays = self.frame.can_go_on(booking.crew_id, left)
        self._pin(visit, booking, start if stays else None)
        self.published.append(Published(visit.pk, booking.crew_id, start))
        return max(1, len(work))

    def _known_idle(self, booking: Booking) -> set[date]:
        """Days that were called off before the booking was put where it is.

        It was made longer by them: nothing was to be done on them, whatever has become
        of them since.
        """
        return {
            row.day
            for row in self.frame.ever_lost
            if row.job_id in {None, self.job.pk} and _off_at(row, booking.changed_at)
        }

    def _hold_pinned(self, visit: Visit, booking: Booking) -> None:
        """Hold a pinned visit where it is; on a day called off only its crew is held."""
        start = start_of(booking)
        if self._worked(start):
            self._pin(visit, booking, start)
            return
        self.notes.append(
            f"{self.job}, visit {visit.ordinal}: pinned to {say_day(start.day)}, which "
            "is called off. It keeps its crew and may go to another day."
        )
        self._pin(visit, booking, None)

    def _pin(self, visit: Visit, booking: Booking, start: Slot | None) -> None:
        """Hold a visit with its crew, as long as the crew still works."""
        known = {crew.key for crew in self.frame.people.crews}
        crew = booking.crew_id if booking.crew_id in known else None
        self.pins.append(Pin(visit.pk, crew, start if crew else None))

    def _worked(self, slot: Slot) -> bool:
        return slot.day not in self.called_off

    def _overrun(
        self, visit: Visit, booking: Booking, halves: Mapping[int, int]
    ) -> dict[int, int]:
        """What is left of a visit whose booked time is over and that is not done."""
        progress = self.progress[visit.ordinal]
        share = self._open_share(visit) if progress.begun else 1.0
        self.notes.append(
            f"{self.job}, visit {visit.ordinal}: booked until "
            f"{say_day(end_of(booking).day)}, and its tasks are not all marked done. "
            "What is left is planned again."
        )
        if progress.begun:
            self._pin(visit, booking, None)
        return {people: max(1, ceil(n * share)) for people, n in halves.items()}

    def _open_share(self, visit: Visit) -> float:
        minutes = self.frame.cuts[self.job.pk].named()
        every = {t: minutes[t.key].person_minutes for t in visit.tasks.all()}
        total = sum(every.values())
        left = sum(time for task, time in every.items() if task.done_at is None)
        return left / total if total else 1.0


def _live_booking(visit: Visit) -> Booking | None:
    booking: Booking | None = getattr(visit, "booking", None)
    return booking if booking is not None and booking.cancelled_at is None else None
