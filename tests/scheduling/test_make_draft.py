"""The background task that works out a draft, with the real engine."""

from datetime import date

import pytest

from jobs.background import ask_to_stop
from jobs.models import BackgroundRun
from scheduling.domain.checker import violations
from scheduling.domain.engine import solve
from scheduling.models import Booking, Draft
from scheduling.services.drafts import ask_for_draft
from scheduling.services.plan import publish_draft
from scheduling.tasks import make_draft
from tests.scheduling.plans import draft_of


@pytest.fixture
def draft(job, delivery, blue, red, oscar, time_machine, now):
    """Asked for, and told to be quick: the first plan is good enough here."""
    time_machine.move_to(now, tick=True)
    draft = ask_for_draft(actor=oscar, at=now)
    assert draft.run is not None
    ask_to_stop(run=draft.run)
    return draft


def run(draft):
    make_draft(run_id=str(draft.run.pk), draft_id=draft.pk)
    draft.refresh_from_db()
    draft.run.refresh_from_db()
    return draft


def test_a_draft_is_worked_out_and_can_be_published(draft, job, oscar, now):
    assert run(draft).state == Draft.State.READY
    assert draft.run.state == BackgroundRun.State.DONE
    assert draft.run.result_url == f"/plan/drafts/{draft.pk}/"
    assert draft.bound["stopped"]
    first, second = draft.bookings.order_by("visit__ordinal")
    # Posts and beams are not ordered: ten days, then the next working day.
    assert first.start_on == date(2026, 8, 14)
    assert (
        first.why.startswith(("Wait", "posts", "beams", "“")) or "ordered" in first.why
    )
    assert second.start_on > first.end_on
    assert publish_draft(draft=draft, actor=oscar, at=now).moved == 2
    assert Booking.objects.count() == 2


def test_delivered_twice_it_is_made_once(draft):
    places = [b.start_on for b in run(draft).bookings.all()]
    made = draft.bookings.values_list("pk", flat=True)
    before = list(made)
    assert [b.start_on for b in run(draft).bookings.all()] == places
    assert list(made.all()) == before


def test_a_failure_is_told_and_leaves_no_draft(draft):
    draft.made_by.is_office = False
    draft.made_by.save()
    with pytest.raises(Exception, match="roles do not allow"):
        run(draft)
    draft.refresh_from_db()
    draft.run.refresh_from_db()
    assert draft.state == Draft.State.FAILED
    assert draft.run.state == BackgroundRun.State.FAILED


def test_the_engine_s_plan_of_real_records_breaks_no_rule(
    job, delivery, make_job, blue, red, oscar, now
):
    make_job("Carport", approved=False)
    found = []

    def watched(problem, seed, on_progress, should_stop):
        answer = solve(problem, seed=seed, deadline_s=5, step_budget=200)
        found.append(violations(problem, answer.bookings))
        return answer

    draft = draft_of({}, oscar, now, solve=watched)
    assert found == [()]
    assert draft.bookings.count() == 4
