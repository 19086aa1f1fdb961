"""Jobs that a site lead answers for."""

from django.db.models import Q

from jobs.models import Job, Person


def led_by(person: Person) -> list[Job]:
    """Open jobs they lead, or whose crew they lead, by number. One query."""
    mine = Q(site_lead=person) | Q(
        visits__booking__crew__lead=person,
        visits__booking__cancelled_at__isnull=True,
    )
    jobs = Job.objects.filter(mine, closed_at__isnull=True)
    shown = jobs.select_related("client", "site", "site_lead").distinct()
    return list(shown.order_by("number"))
