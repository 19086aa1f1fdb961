"""The firm and its people, as every test knows them."""

import gc
from importlib import import_module

import pytest
from django.db import connection
from hypothesis import HealthCheck, settings

from jobs.models import Firm
from tests.people import NOW, hired


def pytest_collection_finish():
    """All that is loaded by now stays loaded: garbage is not looked for in it again."""
    gc.collect()
    gc.freeze()


# The same examples in every run, however slow the machine: a change never fails on what
# chance has found elsewhere. To look further: pytest --hypothesis-profile=explore
_PATIENT = settings(deadline=None, suppress_health_check=[HealthCheck.too_slow])
settings.register_profile("steady", _PATIENT, derandomize=True)
settings.register_profile("explore", _PATIENT, print_blob=True)
settings.load_profile("steady")


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


@pytest.fixture
def real_commits(ledger_guarded_again, transactional_db):
    """Real commits; afterwards the tables are emptied, which the ledger would refuse."""
    yield
    _run(_GUARDS[connection.vendor][1])


@pytest.fixture
def ledger_guarded_again(django_db_setup, django_db_blocker):
    """After the tables were emptied, the ledger is guarded again."""
    yield
    with django_db_blocker.unblock():
        _run(_GUARDS[connection.vendor][0])


_GUARDS = import_module("jobs.migrations.0002_ledger_refuses_change").STATEMENTS


def _run(statements):
    with connection.cursor() as cursor:
        for statement in statements:
            cursor.execute(statement)
