"""Shared plant: what there is of it, what is out of service, and who waits for it."""

from datetime import date, timedelta

import pytest
from django.core.exceptions import PermissionDenied
from django.urls import reverse

from jobs.domain.refusals import Refused
from jobs.models import LedgerEntry, LibraryText
from scheduling.domain.checker import violations
from scheduling.domain.engine import solve
from scheduling.models import Draft
from scheduling.queries.broken import broken_by
from scheduling.queries.placing import placing
from scheduling.queries.plant import plant_rows, tools_in_use
from scheduling.queries.problem import load_problem, open_jobs
from scheduling.services.plant import (
    add_plant,
    edit_plant,
    put_plant_back,
    take_plant_out,
)
from scheduling.services.visits import sync_visits
from tests.scheduling.plans import publish, slot

TUESDAY, WEDNESDAY, THURSDAY = date(2026, 8, 4), date(2026, 8, 5), date(2026, 8, 6)


@pytest.fixture
def on_trestles(library):
    """The beams of the method are lifted from trestles."""
    row = LibraryText.objects.get(kind="method", key="two_visits")
    row.text = row.text.replace(
        "key: beams, kind", "key: beams, tools: [{tool: trestles}], kind"
    )
    row.save()


@pytest.fixture
def trestles(on_trestles, oscar, now):
    """One set for the whole firm, and a method that uses it."""
    values = {"tool": "trestles", "name": "Trestles", "count": 1}
    return add_plant(values=values, actor=oscar, at=now)


def test_a_visit_needs_what_its_tasks_use(trestles, job, firm, oscar, now):
    sync_visits(job=job, actor=oscar, at=now)
    first, second = load_problem([job], firm, now).problem.jobs[0].visits
    assert [(need.plant, need.count) for need in first.plant] == [(trestles.pk, 1)]
    assert second.plant == ()


def test_two_jobs_do_not_have_the_one_set_at_once(
    trestles, job, make_job, blue, red, firm, oscar, now
):
    for one in (job, make_job("Carport")):
        sync_visits(job=one, actor=oscar, at=now)
    problem = load_problem(open_jobs(), firm, now).problem
    plan = solve(problem, deadline_s=5, step_budget=200)
    assert violations(problem, plan.bookings) == ()
    lifting = [
        b for b in plan.bookings if b.visit in {j.visits[0].key for j in problem.jobs}
    ]
    one, other = sorted(lifting, key=lambda booking: booking.start)
    assert one.last < other.start


def test_who_has_it_is_said_before_a_visit_is_booked(
    trestles, job, make_job, blue, red, firm, oscar, now
):
    places = {(job.pk, 1): (blue, slot(TUESDAY), slot(WEDNESDAY, "pm"))}
    publish(places, oscar, now)
    first, _ = sync_visits(job=make_job("Carport"), actor=oscar, at=now)

    def said(day):
        there = placing(first, red, slot(day), firm, now)
        return [s for s in broken_by(first, red, there, firm, now) if "Trestles" in s]

    assert said(WEDNESDAY) == [
        f"Trestles: none is free on Wed 5 Aug 2026, morning ({job})."
    ]
    assert said(THURSDAY) == []


def test_out_of_service_counts_until_it_is_back(trestles, job, blue, firm, oscar, now):
    out = take_plant_out(
        plant=trestles,
        from_on=TUESDAY,
        to_on=TUESDAY,
        count=1,
        reason="Plank split",
        actor=oscar,
        at=now,
    )
    first, _ = sync_visits(job=job, actor=oscar, at=now)
    there = placing(first, blue, slot(TUESDAY), firm, now)
    assert "Plank split" in " ".join(broken_by(first, blue, there, firm, now))
    put_plant_back(out=out, actor=oscar, at=now)
    assert "Plank split" not in " ".join(broken_by(first, blue, there, firm, now))
    verbs = LedgerEntry.objects.filter(verb__startswith="firm:plant:")
    assert list(verbs.order_by("pk").values_list("verb", flat=True)) == [
        "firm:plant:added",
        "firm:plant:out-of-service",
        "firm:plant:back-in-service",
    ]


def test_what_is_on_site_now_stays_there(trestles, job, blue, firm, oscar, now):
    places = {(job.pk, 1): (blue, slot(TUESDAY), slot(THURSDAY, "pm"))}
    publish(places, oscar, now)
    problem = load_problem([job], firm, now + timedelta(days=2)).problem
    (plant,) = problem.plant
    assert [(away.last, away.count) for away in plant.out] == [
        (slot(THURSDAY, "pm"), 1)
    ]
    assert problem.jobs[0].visits[0].plant == ()


def test_more_than_there_is_cannot_break(trestles, oscar, now):
    days = {"from_on": TUESDAY, "to_on": TUESDAY}
    with pytest.raises(Refused, match="only 1"):
        take_plant_out(
            plant=trestles, count=2, reason="Lost", actor=oscar, at=now, **days
        )


def test_leads_do_not_change_it(trestles, sal, now):
    with pytest.raises(PermissionDenied):
        edit_plant(plant=trestles, version=1, values={"count": 9}, actor=sal, at=now)


def test_the_page_counts_the_visits_that_want_it(
    client, trestles, job, oscar, now, time_machine
):
    time_machine.move_to(now)
    sync_visits(job=job, actor=oscar, at=now)
    assert tools_in_use() == [("trestles", "Trestles and planks")]
    assert [row.visits for row in plant_rows(TUESDAY)] == [1]
    client.force_login(oscar)
    page = client.get(reverse("scheduling:plant_list")).content.decode()
    assert "Trestles and planks" in page


def test_a_broken_one_is_planned_around_in_one_action(
    client, trestles, job, oscar, now, time_machine
):
    time_machine.move_to(now)
    client.force_login(oscar)
    sent = {"from_on": "2026-08-04", "to_on": "2026-08-05", "count": 1}
    url = reverse("scheduling:plant_out", args=[trestles.pk])
    client.post(url, {**sent, "reason": "Bent", "then_draft": "yes"})
    draft = Draft.objects.get()
    assert draft.mends
    assert draft.why == "Trestles out of service until Wed 5 Aug 2026"
