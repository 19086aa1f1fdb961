"""Two people publishing at once leave one plan.

On the embedded database one writer waits for the other at the start of the transaction;
a database in memory cannot show that, so there the two publish from a file.
"""

from concurrent.futures import ThreadPoolExecutor
from datetime import date
from threading import Barrier

import pytest
from django.db import connection

from jobs.domain.refusals import Refused
from scheduling.models import CrewSlot, Draft, PlanHead
from scheduling.services.plan import publish_draft
from tests.scheduling.plans import draft_of, slot

TUESDAY, THURSDAY = date(2026, 8, 4), date(2026, 8, 6)
IN_MEMORY = "memory" in str(connection.settings_dict["NAME"]) or (
    connection.vendor == "sqlite"
)


@pytest.mark.django_db(transaction=True)
@pytest.mark.skipif(IN_MEMORY, reason="a database in memory has one connection")
def test_two_people_publishing_at_once_leave_one_plan(job, blue, oscar, now):
    drafts = [
        draft_of({(job.pk, 1): (blue, slot(day), slot(day, "pm"))}, oscar, now)
        for day in (TUESDAY, THURSDAY)
    ]
    ready = Barrier(2)

    def publish(draft):
        ready.wait()
        try:
            return publish_draft(draft=draft, actor=oscar, at=now).number
        except Refused as error:
            return error.reasons[0]
        finally:
            connection.close()

    with ThreadPoolExecutor(2) as pool:
        answers = list(pool.map(publish, drafts))
    assert 1 in answers
    (other,) = [answer for answer in answers if answer != 1]
    assert "was changed by Oscar Office" in other
    assert PlanHead.objects.get().number == 1
    assert CrewSlot.objects.values("day").distinct().count() == 1
    assert Draft.objects.filter(state=Draft.State.PUBLISHED).count() == 1
