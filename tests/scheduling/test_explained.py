"""Why a job is on its date: what decides it, what would help, why not on another day."""

import subprocess
import sys
from datetime import date
from pathlib import Path

import pytest
from django.conf import settings
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from scheduling.queries.explained import days_in_words, explained, why_not
from scheduling.services.absences import add_closure, record_absence
from scheduling.services.visits import sync_visits
from tests.scheduling.plans import publish, slot

TUESDAY, WEDNESDAY, THURSDAY, FRIDAY = (date(2026, 8, d) for d in range(4, 8))
NEXT_TUESDAY, NEXT_WEDNESDAY = date(2026, 8, 18), date(2026, 8, 19)


@pytest.fixture
def both(job, blue):
    """Both visits, as soon as the crew can once its material has been a fortnight."""
    return {
        (job.pk, 1): (blue, slot(TUESDAY), slot(WEDNESDAY, "pm")),
        (job.pk, 2): (blue, slot(FRIDAY), slot(FRIDAY, "pm")),
    }


def test_the_chain_goes_back_to_what_everything_waits_for(job, both, firm, oscar, now):
    publish(both, oscar, now)
    found = explained(job, firm, now)
    assert found.last == slot(FRIDAY, "pm")
    said = [(link.visit, link.says) for link in found.chain]
    assert said[0] == (
        "Lay sheets … Hang gutter",
        "“Set out … Lift beams” has to be done first: "
        "Wed 5 Aug 2026, afternoon (the posts have to set).",
    )
    assert said[1][0] == "Set out … Lift beams"


def test_a_late_delivery_is_named_with_what_it_costs(
    job, delivery, blue, red, firm, oscar, now
):
    # Posts and beams are not ordered: about ten days more, so from Friday 14 Aug.
    late = {
        (job.pk, 1): (blue, slot(date(2026, 8, 14)), slot(date(2026, 8, 17), "pm")),
        (job.pk, 2): (blue, slot(NEXT_WEDNESDAY), slot(NEXT_WEDNESDAY, "pm")),
    }
    publish(late, oscar, now)
    found = explained(job, firm, now)
    assert "posts" in found.chain[-1].says
    other_crew = next(one for one in found.forward if "Red does it" in one.says)
    assert other_crew.sooner.endswith("sooner")
    assert other_crew.needs.startswith("With that crew, from Fri 14 Aug 2026")


def test_a_crew_that_is_busy_or_short_is_told_so(
    job, make_job, both, blue, kim, firm, oscar, now
):
    publish(both, oscar, now)
    other = make_job("Carport")
    sync_visits(job=other, actor=oscar, at=now)
    record_absence(
        person=kim,
        from_on=THURSDAY,
        to_on=THURSDAY,
        reason="Leave",
        actor=oscar,
        at=now,
    )
    plan = explained(other, firm, now).plan
    (busy,) = why_not(plan, other, slot(TUESDAY), blue.pk)
    assert not busy.possible
    assert any(f"Blue is on {job}" in says for says, _ in busy.reasons)
    (short,) = why_not(plan, other, slot(THURSDAY), blue.pk)
    assert any("Kim Crew: Leave" in says for says, _ in short.reasons)
    (free,) = why_not(plan, other, slot(NEXT_TUESDAY), blue.pk)
    assert (free.possible, free.reasons) == (True, ())


def test_every_crew_answers_when_none_is_chosen(job, blue, red, firm, oscar, now):
    sync_visits(job=job, actor=oscar, at=now)
    plan = explained(job, firm, now).plan
    assert [a.crew for a in why_not(plan, job, slot(TUESDAY), None)] == ["Blue", "Red"]


@pytest.mark.parametrize(
    ("day", "words"),
    [
        (date(2026, 7, 1), "is over"),
        (date(2026, 8, 8), "The firm does not work then"),
        (FRIDAY, "Fair. Choose a working day"),
        (date(2029, 1, 2), "further ahead"),
    ],
)
def test_a_day_that_is_not_worked_is_said_to_be(
    job, blue, firm, oscar, now, day, words
):
    add_closure(from_on=FRIDAY, to_on=FRIDAY, reason="Fair", actor=oscar, at=now)
    sync_visits(job=job, actor=oscar, at=now)
    plan = explained(job, firm, now).plan
    (answer,) = why_not(plan, job, slot(day), blue.pk)
    assert not answer.possible
    assert words in answer.reasons[0][0]


def test_a_job_that_is_not_booked_hears_where_it_could_be(
    job, blue, red, firm, oscar, now
):
    sync_visits(job=job, actor=oscar, at=now)
    found = explained(job, firm, now)
    assert found.last is None
    assert found.not_booked == ("Set out … Lift beams", "Lay sheets … Hang gutter")
    assert [one.crew for one in found.soonest] == ["Red", "Blue"]
    assert found.conflict == ()


def test_a_job_without_a_place_hears_what_contradicts(job, firm, blue, kim, oscar, now):
    sync_visits(job=job, actor=oscar, at=now)
    record_absence(
        person=kim,
        from_on=TUESDAY,
        to_on=date(2027, 12, 31),
        reason="Long leave",
        actor=oscar,
        at=now,
    )
    found = explained(job, firm, now)
    assert found.soonest == ()
    assert "Long leave" in " ".join(found.conflict)


def test_working_days_are_said_as_people_say_them():
    said = [days_in_words(halves) for halves in (1, 2, 3, 8)]
    assert said == ["half a day", "1 day", "1½ days", "4 days"]


def test_the_page_answers_with_the_same_queries_whatever_the_plan(
    client, job, make_job, both, blue, oscar, now, time_machine
):
    time_machine.move_to(now)
    publish(both, oscar, now)
    client.force_login(oscar)
    url = reverse("scheduling:job_explained", args=[job.pk])
    asked = {"day": "2026-08-06", "half": "am", "crew": blue.pk}
    client.get(url, asked)
    with CaptureQueriesContext(connection) as few:
        page = client.get(url, asked).content.decode()
    assert "What decides it" in page
    assert "Blue, Thu 6 Aug 2026, morning" in page
    for number in range(5):
        sync_visits(job=make_job(f"Carport {number}"), actor=oscar, at=now)
    with CaptureQueriesContext(connection) as many:
        client.get(url, asked)
    assert len(many) == len(few)


def test_a_question_without_a_day_is_put_right(client, job, oscar, now, time_machine):
    time_machine.move_to(now)
    sync_visits(job=job, actor=oscar, at=now)
    client.force_login(oscar)
    url = reverse("scheduling:job_explained", args=[job.pk])
    assert client.get(url, {"day": "", "half": "am"}).status_code == 422


def test_answers_need_no_solver():
    code = (
        "import django, sys; django.setup()\n"
        "import scheduling.views.explained\n"
        "print('ortools' in sys.modules)"
    )
    ran = subprocess.run(
        [sys.executable, "-c", code],
        cwd=Path(settings.BASE_DIR),
        capture_output=True,
        text=True,
        check=True,
        env={"DJANGO_SETTINGS_MODULE": "config.settings_test", "PATH": "/usr/bin:/bin"},
    )
    assert ran.stdout.strip() == "False"
