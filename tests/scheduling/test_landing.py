"""What the office asks first in the morning."""

from datetime import date, timedelta

import pytest

from scheduling.queries.landing import landing
from tests.scheduling.plans import draft_of, publish, slot

TUESDAY, WEDNESDAY = date(2026, 8, 4), date(2026, 8, 5)


@pytest.fixture
def pencilled(make_job, blue, oscar, now):
    job = make_job("Pergola", approved=False)
    publish({(job.pk, 1): (blue, slot(TUESDAY), slot(TUESDAY, "pm"))}, oscar, now)
    return job


def test_the_week_its_loads_and_what_is_only_pencilled(
    pencilled, delivery, firm, oscar, now
):
    found = landing(oscar, firm, now)
    assert [view.state for view in found.bookings] == ["pencilled"]
    assert [load.delivery for load in found.deliveries] == [delivery]
    assert [(item.says, item.by) for item in found.chase] == [
        (f"{pencilled} is only pencilled in for Tue 4 Aug 2026.", TUESDAY)
    ]


def test_a_late_load_is_chased_first(pencilled, delivery, firm, oscar, now):
    found = landing(oscar, firm, now + timedelta(days=3))
    assert found.chase[0].says == (
        f"Frames and Sheets is late with sheets and gutters for {delivery.job}."
    )
    assert found.chase[0].record == ("scheduling.delivery", delivery.pk)


def test_a_draft_waits_until_it_is_overtaken(job, blue, firm, oscar, now):
    places = {(job.pk, 1): (blue, slot(TUESDAY), slot(WEDNESDAY, "pm"))}
    draft_of(places, oscar, now)
    (waits,) = landing(oscar, firm, now).chase
    assert waits.says == "A draft of the plan waits to be published."
