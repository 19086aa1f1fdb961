"""The plan as a grid: crews by half-days over some weeks."""

from collections import defaultdict
from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from itertools import groupby
from operator import attrgetter

from django.db.models import Q

from jobs.domain.holds import Stops
from jobs.hold_registry import holds
from jobs.models import Firm
from jobs.queries import local_day
from scheduling.domain.calendar import Half, Slot, days_between
from scheduling.models import Crew, CrewSlot, Delivery, Draft
from scheduling.queries.bookings import BookingView, live_bookings, standing_under
from scheduling.queries.calendar import DayOff, days_off
from scheduling.queries.differences import Difference, differences
from scheduling.queries.rosters import Roster, roster

HALVES = tuple(Half)


@dataclass(frozen=True, slots=True)
class Day:
    """One day of the grid's head."""

    day: date
    is_today: bool
    off: DayOff | None

    @property
    def is_new_month(self) -> bool:
        """Whether the head should name the month again."""
        return self.day.day <= 7 and self.day.weekday() == 0


@dataclass(frozen=True, slots=True)
class Cell:
    """Some half-days in a row that belong together.

    ``kind`` is "booking", "closed", "away" or "free". ``notes`` are short words that
    stand in the cell beside what it is.
    """

    kind: str
    slots: tuple[Slot, ...]
    today: date
    why: str = ""
    view: BookingView | None = None
    change: Difference | None = None
    is_pencilled: bool = False  # of a draft: a firm booking of the job is stopped
    notes: tuple[str, ...] = ()

    @property
    def span(self) -> int:
        """Columns it takes."""
        return len(self.slots)

    @property
    def starts_pm(self) -> bool:
        """Whether it begins in an afternoon."""
        return self.slots[0].half is Half.PM

    @property
    def is_today(self) -> bool:
        """Whether it lies within today."""
        return {slot.day for slot in self.slots} == {self.today}


@dataclass(frozen=True, slots=True)
class CrewRow:
    """One crew: its cells in the published plan, and in the draft when there is one."""

    crew: Crew
    people: tuple[str, ...]
    cells: tuple[Cell, ...]
    draft_cells: tuple[Cell, ...] = ()


@dataclass(frozen=True, slots=True)
class Load:
    """A delivery in the grid."""

    delivery: Delivery
    checked_in: bool
    is_late: bool


@dataclass(frozen=True, slots=True)
class Grid:
    """The whole grid."""

    days: tuple[Day, ...]
    rows: tuple[CrewRow, ...]
    loads: tuple[tuple[Day, tuple[Load, ...]], ...]
    changes: tuple[Difference, ...] = ()

    @property
    def bookings(self) -> list[BookingView]:
        """Every booking of the grid once, in the order of their days."""
        views = {
            cell.view.booking.pk: cell.view
            for row in self.rows
            for cell in row.cells
            if cell.view is not None
        }
        order = attrgetter("booking.start_on", "booking.start_half", "booking.pk")
        return sorted(views.values(), key=order)

    @property
    def has_loads(self) -> bool:
        """Whether anything is delivered."""
        return any(loads for _, loads in self.loads)


def plan_grid(
    firm: Firm, first: date, weeks: int, at: datetime, draft: Draft | None = None
) -> Grid:
    """Crews by half-days from a Monday on, over whole weeks.

    The same number of queries however many jobs are booked.
    """
    last = first + timedelta(days=7 * weeks - 1)
    today = local_day(at, firm)
    off = {day.day: day for day in days_off(firm, first, last)}
    days = tuple(
        Day(day, day == today, off.get(day))
        for day in days_between(first, last)
        if day.weekday() < (6 if firm.works_saturday else 5)
    )
    slots = tuple(Slot(day.day, half) for day in days for half in HALVES)
    changes = tuple(differences(draft, firm, at)) if draft else ()
    painter = _Painter(slots, off, today, roster(first, last, at))
    return Grid(
        days=days,
        rows=tuple(_rows(painter, first, last, at, changes, drafted=bool(draft))),
        loads=tuple(_loads(days, today)),
        changes=changes,
    )


def _rows(
    painter: "_Painter",
    first: date,
    last: date,
    at: datetime,
    changes: Sequence[Difference],
    *,
    drafted: bool,
) -> Iterator[CrewRow]:
    taken = _taken(first, last)
    booked = {pk for slots in taken.values() for pk in slots.values()}
    bookings = list(live_bookings().filter(pk__in=booked))
    jobs = {booking.visit.job_id: booking.visit.job for booking in bookings}
    jobs |= {change.job.pk: change.job for change in changes}
    found = holds(jobs.values(), at)
    standing = standing_under(found, bookings)
    painter.pencilled = {
        pk for pk, some in found.items() if any(Stops.BOOKING in h.stops for h in some)
    }
    crews = Crew.objects.filter(Q(is_active=True) | Q(pk__in=taken.keys()))
    for crew in crews.select_related("lead"):
        yield CrewRow(
            crew=crew,
            people=painter.people(crew),
            cells=tuple(painter.published(crew, taken[crew.pk], standing)),
            draft_cells=tuple(painter.drafted(crew, changes)) if drafted else (),
        )


def _taken(first: date, last: date) -> Mapping[int, dict[Slot, int]]:
    """Booking (id) of every half-day by crew."""
    found: dict[int, dict[Slot, int]] = defaultdict(dict)
    rows = CrewSlot.objects.filter(
        day__range=(first, last),
        booking__cancelled_at__isnull=True,
        booking__visit__job__closed_at__isnull=True,
    )
    for crew, booking, day, half in rows.values_list(
        "crew_id", "booking_id", "day", "half"
    ):
        found[crew][Slot(day, Half(half))] = booking
    return found


def _loads(days: Sequence[Day], today: date) -> Iterator[tuple[Day, tuple[Load, ...]]]:
    rows = (
        Delivery.objects.filter(
            due_on__in=[day.day for day in days], cancelled_at__isnull=True
        )
        .select_related("job", "supplier")
        .prefetch_related("receipts")
        .order_by("due_half", "pk")
    )
    found: dict[date, list[Load]] = defaultdict(list)
    for row in rows:
        assert row.due_on is not None
        here = bool(row.receipts.all())
        found[row.due_on].append(Load(row, here, not here and row.due_on < today))
    for day in days:
        yield day, tuple(found[day.day])


class _Painter:
    """Turns what is known of a crew into cells, left to right."""

    def __init__(
        self,
        slots: Sequence[Slot],
        off: Mapping[date, DayOff],
        today: date,
        people: Roster,
    ) -> None:
        self.slots, self.off, self.today, self.roster = slots, off, today, people
        self.pencilled: Collection[int] = frozenset()  # jobs (id)

    def people(self, crew: Crew) -> tuple[str, ...]:
        """First names of everybody in the crew at some time of these weeks."""
        names = {
            place.person.get_short_name(): None
            for place in self.roster.places
            if place.crew_id == crew.pk
        }
        return tuple(names)

    def published(
        self, crew: Crew, taken: Mapping[Slot, int], standing: Mapping[int, BookingView]
    ) -> Iterator[Cell]:
        """Cells of the published plan."""
        known = {slot: standing[pk] for slot, pk in taken.items() if pk in standing}
        keys = {slot: view.booking.pk for slot, view in known.items()}
        for (kind, key), run in self._runs(crew, keys):
            view = known[run[0]] if kind == "booking" else None
            yield self._cell(kind, key, run, crew, view=view)

    def drafted(self, crew: Crew, changes: Iterable[Difference]) -> Iterator[Cell]:
        """Cells of the draft."""
        mine = {
            change.visit.pk: change
            for change in changes
            if change.after is not None and change.after.crew_id == crew.pk
        }
        keys = {
            slot: pk
            for pk, change in mine.items()
            for slot in self.slots
            if change.after and change.after.start <= slot <= change.after.last
        }
        for (kind, key), run in self._runs(crew, keys):
            change = mine[int(key)] if kind == "booking" else None
            yield self._cell(kind, key, run, crew, change=change)

    def _runs(
        self, crew: Crew, keys: Mapping[Slot, int]
    ) -> Iterator[tuple[tuple[str, str], tuple[Slot, ...]]]:
        for key, run in groupby(self.slots, lambda slot: self._key(crew, slot, keys)):
            slots = tuple(run)
            if key[0] != "free":
                yield key, slots
            else:
                yield from ((key, (slot,)) for slot in slots)

    def _key(self, crew: Crew, slot: Slot, keys: Mapping[Slot, int]) -> tuple[str, str]:
        if slot in keys and slot.day not in self.off:
            return "booking", str(keys[slot])
        if slot.day in self.off:
            return "closed", self.off[slot.day].why
        gone = self.roster.crew_away(crew.pk, slot.day)
        if gone is not None:
            return "away", f"All away: {gone.reason}"
        missing = self._missing(crew, slot.day)
        return ("away", ", ".join(missing)) if missing else ("free", "")

    def _missing(self, crew: Crew, day: date) -> list[str]:
        return [
            f"{person.get_short_name()} away"
            for person in self.roster.members(crew.pk, day)
            if self.roster.away(person, day)
        ]

    def _cell(
        self,
        kind: str,
        key: str,
        run: tuple[Slot, ...],
        crew: Crew,
        *,
        view: BookingView | None = None,
        change: Difference | None = None,
    ) -> Cell:
        notes: dict[str, None] = {}
        if kind == "booking":
            for slot in run:
                notes.update(dict.fromkeys(self._missing(crew, slot.day)))
        return Cell(
            kind=kind,
            slots=run,
            today=self.today,
            why="" if kind == "booking" else key,
            view=view,
            change=change,
            is_pencilled=change is not None and change.job.pk in self.pencilled,
            notes=tuple(notes),
        )
