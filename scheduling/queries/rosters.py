"""Who is in which crew on a day, and who is away."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, datetime

from django.db.models import Q

from jobs.models import Person
from scheduling.models import Absence, Crew, CrewMember


@dataclass(frozen=True, slots=True)
class Roster:
    """Places in crews and absences over some days, as known at one moment."""

    places: tuple[CrewMember, ...]
    absences: tuple[Absence, ...]

    def person_ids(self) -> frozenset[int]:
        """Everybody in a crew at some time of these days."""
        return frozenset(place.person_id for place in self.places)

    def members(self, crew_id: int, day: date) -> list[Person]:
        """People of a crew on a day, away or not, by name."""
        return sorted(
            (
                place.person
                for place in self.places
                if place.crew_id == crew_id and _covers(place, day)
            ),
            key=lambda person: (person.name, person.pk),
        )

    def away(self, person: Person, day: date) -> Absence | None:
        """The absence of a person that covers the day."""
        return next(
            (a for a in self.absences if a.person_id == person.pk and _covers(a, day)),
            None,
        )

    def crew_away(self, crew_id: int, day: date) -> Absence | None:
        """The absence of the whole crew that covers the day."""
        return next(
            (a for a in self.absences if a.crew_id == crew_id and _covers(a, day)),
            None,
        )

    def present(self, crew_id: int, day: date) -> list[Person]:
        """People of the crew who are there on that day; nobody when it is away."""
        if self.crew_away(crew_id, day):
            return []
        return [p for p in self.members(crew_id, day) if not self.away(p, day)]


def _covers(row: CrewMember | Absence, day: date) -> bool:
    return row.from_on <= day and (row.to_on is None or day <= row.to_on)


def roster(
    first: date, last: date, at: datetime, crews: Iterable[Crew] | None = None
) -> Roster:
    """The roster from one day to another as recorded at ``at``. Two queries."""
    places = CrewMember.objects.filter(
        Q(to_on__isnull=True) | Q(to_on__gte=first), from_on__lte=last
    ).filter(person__is_active=True)
    if crews is not None:
        places = places.filter(crew__in=list(crews))
    return Roster(
        places=tuple(places.select_related("person", "crew")),
        absences=tuple(absences_at(at, first, last)),
    )


def absences_at(at: datetime, first: date, last: date) -> Iterable[Absence]:
    """Absences that touch these days as recorded at ``at``. One query."""
    return (
        Absence.objects.filter(
            Q(cancelled_at__isnull=True) | Q(cancelled_at__gt=at),
            recorded_at__lte=at,
            from_on__lte=last,
            to_on__gte=first,
        )
        .select_related("person", "crew")
        .order_by("from_on", "pk")
    )
