"""What a person may hand out a calendar of."""

from jobs.domain.roles import Can
from jobs.models import Job, Person
from scheduling.models import Crew

Choice = tuple[str, str]  # value, words


def subjects_to_share(person: Person) -> list[tuple[str, list[Choice]]]:
    """Calendars they may make a link to, in groups. Three queries for the office."""
    if not person.can(Can.SHARE_CALENDARS):
        return [("Yours", [(f"person-{person.pk}", person.name)])]
    crews = Crew.objects.filter(is_active=True)
    people = Person.objects.filter(is_active=True, crew_places__isnull=False)
    return [
        ("The firm", [("firm", "Everything"), ("deliveries", "Deliveries only")]),
        ("Crews", [(f"crew-{crew.pk}", crew.name) for crew in crews]),
        (
            "People",
            [(f"person-{row.pk}", row.name) for row in people.distinct()],
        ),
        ("Jobs", [(f"job-{job.pk}", str(job)) for job in Job.objects.open()]),
    ]
