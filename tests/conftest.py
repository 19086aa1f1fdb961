"""The firm and its people, as every test knows them."""

import pytest

from jobs.models import Firm
from tests.people import NOW, hired


@pytest.fixture
def now():
    """The moment most tests happen at: a working Monday morning at the firm."""
    return NOW


@pytest.fixture
def firm(db):
    """The firm, in New South Wales."""
    return Firm.objects.create(pk=1, name="Testfield Patios", pack="au-nsw")


@pytest.fixture
def olive(firm):
    """Olive owns the firm."""
    return hired("olive")


@pytest.fixture
def oscar(firm):
    """Oscar runs the office."""
    return hired("oscar")


@pytest.fixture
def sal(firm):
    """Sal leads the site that most tests are about."""
    return hired("sal")


@pytest.fixture
def lou(firm):
    """Lou leads other sites, and must not touch Sal's."""
    return hired("lou")


@pytest.fixture
def cam(firm):
    """Cam is a crew member."""
    return hired("cam")


@pytest.fixture
def gus(firm):
    """Gus logs in but plays no part."""
    return hired("gus")
