"""The people of the firm that tests speak of, and the moment most tests happen at."""

from datetime import UTC, datetime

from jobs.models import Person

NOW = datetime(2026, 8, 3, 0, 0, tzinfo=UTC)  # Monday 3 August 2026, 10 am in Sydney
PEOPLE: dict[str, tuple[str, dict[str, bool]]] = {
    "olive": ("Olive Owner", {"is_owner": True}),
    "oscar": ("Oscar Office", {"is_office": True}),
    "sal": ("Sal Lead", {"is_site_lead": True, "is_crew": True}),
    "lou": ("Lou Lead", {"is_site_lead": True, "is_crew": True}),
    "cam": ("Cam Crew", {"is_crew": True}),
    "kim": ("Kim Crew", {"is_crew": True}),
    "gus": ("Gus Guest", {}),
}


def hired(key: str) -> Person:
    """One of the people, with a login."""
    name, roles = PEOPLE[key]
    email = f"{key}@testfield.example"
    return Person.objects.create_user(email, "sunny-day-42", name=name, **roles)
