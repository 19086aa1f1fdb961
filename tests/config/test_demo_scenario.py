"""The invented firm of the demo: its stories can be told, its plant is known."""

from datetime import UTC, datetime
from zoneinfo import ZoneInfo

import pytest

from config.demo.building import Builder
from config.demo.days import WorkingDays
from config.demo.paperwork import Paperwork
from config.demo.people import make_firm
from config.demo.scenario import load
from jobs.library import methods
from jobs.services.library import load_shipped
from scheduling.models import Plant


def test_every_line_of_a_story_has_somebody_who_tells_it():
    told = {step.do for step in load().steps}
    assert {"talk", "stop", "release"} <= told
    assert not {
        do for do in told if not (hasattr(Paperwork, do) or hasattr(Builder, do))
    }


@pytest.mark.django_db
def test_the_firm_shares_plant_that_the_methods_use():
    zone = ZoneInfo("Australia/Sydney")
    days = WorkingDays(datetime(2026, 8, 3, tzinfo=UTC), zone, "au-nsw")
    load_shipped()
    make_firm(load().firm, days)
    used = {u.tool for m in methods().values() for t in m.tasks for u in t.tools}
    assert set(Plant.objects.values_list("tool", flat=True)) <= used
    assert Plant.objects.exists()
