"""The firm and its people, as every test knows them."""

from datetime import UTC, datetime

import pytest

from jobs.models import Firm, Person

NOW = datetime(2026, 8, 3, 0, 0, tzinfo=UTC)  # Monday 3 August 2026, 10 am in Sydney


@pytest.fixture
def now():
    """The moment most tests happen at: a working Monday morning at the firm."""
    return NOW


@pytest.fixture
def firm(db):
    """The firm, in New South Wales."""
    return Firm.objects.create(pk=1, name="Testfield Patios", pack="au-nsw")


def _person(name, **roles):
    email = f"{name.split(' ', maxsplit=1)[0].lower()}@testfield.example"
    return Person.objects.create_user(email, "sunny-day-42", name=name, **roles)


@pytest.fixture
def olive(firm):
    """Olive owns the firm."""
    return _person("Olive Owner", is_owner=True)


@pytest.fixture
def oscar(firm):
    """Oscar runs the office."""
    return _person("Oscar Office", is_office=True)


@pytest.fixture
def sal(firm):
    """Sal leads the site that most tests are about."""
    return _person("Sal Lead", is_site_lead=True, is_crew=True)


@pytest.fixture
def lou(firm):
    """Lou leads other sites, and must not touch Sal's."""
    return _person("Lou Lead", is_site_lead=True, is_crew=True)


@pytest.fixture
def cam(firm):
    """Cam is a crew member."""
    return _person("Cam Crew", is_crew=True)


@pytest.fixture
def gus(firm):
    """Gus logs in but plays no part."""
    return _person("Gus Guest")
