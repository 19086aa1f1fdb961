"""The shipped rules, parsed once, and plans made from small jobs."""

from datetime import date

import pytest

from safety.domain.engine import hazard_plan
from tests.safety.domain.jobs import PATIO
from tests.safety.domain.rules import rule_book

ON = date(2026, 8, 10)


@pytest.fixture(scope="session")
def nsw():
    """The rules of New South Wales, the demo firm's place."""
    return rule_book("au-nsw")


@pytest.fixture(scope="session")
def patio(nsw):
    """The plan of the small patio, in winter."""
    return hazard_plan(PATIO, nsw, ON)
