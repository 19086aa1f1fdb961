"""Which jobs a person sees because the published plan puts them there."""

from django.db.models import Q

from jobs.models import Person


def jobs_booked_for(person: Person) -> Q:
    """Jobs this person is or was booked on, and those of the crews they lead."""
    return Q(visits__booking__person_slots__person=person) | Q(
        visits__booking__crew__lead=person, visits__booking__cancelled_at__isnull=True
    )
