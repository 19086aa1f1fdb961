"""Ask for drafts, work them out, compare, put away."""

from datetime import date, timedelta

import pytest
from django.core.exceptions import PermissionDenied
from django.urls import reverse

from jobs.domain.refusals import Refused
from jobs.models import BackgroundRun
from scheduling.domain.policy import Term
from scheduling.domain.solution import Unplaced
from scheduling.models import Booking, Draft
from scheduling.queries.differences import differences
from scheduling.queries.drafts import quality_in_words, summary_of
from scheduling.services.drafts import (
    ask_for_draft,
    discard_draft,
    fail_draft,
    fill_draft,
    is_stale,
)
from tests.scheduling.plans import chosen, draft_of, publish, slot

MONDAY, TUESDAY, WEDNESDAY, THURSDAY, FRIDAY = (date(2026, 8, d) for d in range(3, 8))
SATURDAY, NEXT_MONDAY, NEXT_TUESDAY = (date(2026, 8, d) for d in (8, 10, 11))


@pytest.fixture
def places(job, blue):
    return {
        (job.pk, 1): (blue, slot(TUESDAY), slot(WEDNESDAY, "pm")),
        (job.pk, 2): (blue, slot(FRIDAY), slot(FRIDAY, "pm")),
    }


def fill(draft, solve, at, stopped=False):
    return fill_draft(
        draft_id=draft.pk,
        solve=solve,
        on_progress=lambda progress: None,
        should_stop=lambda: stopped,
        at=at,
    )


def test_asking_starts_background_work_after_commit(
    job, oscar, now, django_capture_on_commit_callbacks
):
    with django_capture_on_commit_callbacks() as later:
        draft = ask_for_draft(why="Rain", actor=oscar, at=now)
    assert len(later) == 1
    assert draft.run is not None
    assert (draft.state, draft.run.task) == (
        Draft.State.MAKING,
        "scheduling.tasks.make_draft",
    )


def test_one_draft_is_worked_out_at_a_time(job, oscar, now):
    ask_for_draft(actor=oscar, at=now)
    with pytest.raises(Refused, match="worked out already"):
        ask_for_draft(actor=oscar, at=now + timedelta(minutes=1))


@pytest.mark.parametrize(
    ("state", "minutes", "stale"),
    [
        ("waiting", 1, False),
        ("waiting", 3, True),
        ("running", 3, False),
        ("running", 6, True),
    ],
)
def test_a_draft_whose_worker_is_gone_is_noticed(
    job, oscar, now, state, minutes, stale
):
    draft = ask_for_draft(actor=oscar, at=now)
    BackgroundRun.objects.update(state=state, started_at=now)
    draft.refresh_from_db()
    assert is_stale(draft, now + timedelta(minutes=minutes)) == stale


def test_a_killed_worker_leaves_the_plan_and_the_draft_can_be_asked_again(
    places, oscar, now
):
    publish(places, oscar, now)
    lost = ask_for_draft(actor=oscar, at=now)
    BackgroundRun.objects.filter(draft=lost).update(state="running", started_at=now)
    later = now + timedelta(minutes=10)
    again = ask_for_draft(actor=oscar, at=later)
    lost.refresh_from_db()
    assert (lost.state, again.state) == (Draft.State.FAILED, Draft.State.MAKING)
    assert BackgroundRun.objects.get(draft=lost).state == BackgroundRun.State.FAILED
    assert Booking.objects.filter(cancelled_at__isnull=True).count() == 2


def test_working_it_out_twice_gives_one_draft(places, oscar, now):
    draft = ask_for_draft(actor=oscar, at=now)
    fill(draft, chosen(places), now)
    del places[next(iter(places))]
    done = fill(draft, chosen(places), now)
    assert done.state == Draft.State.READY
    assert done.bookings.count() == 2


def test_a_draft_given_up_meanwhile_is_not_filled(places, oscar, now):
    draft = ask_for_draft(actor=oscar, at=now)

    def solve(*args):
        fail_draft(draft_id=draft.pk, at=now)
        return chosen(places)(*args)

    assert fill(draft, solve, now).state == Draft.State.FAILED
    assert not draft.bookings.exists()


def test_what_could_not_be_placed_is_said(places, job, make_job, oscar, now):
    make_job("Bare", dimensions=False)

    def solve(*args):
        found = chosen({})(*args)
        return type(found)(
            **{
                **{name: getattr(found, name) for name in found.__slots__},
                "unplaced": (Unplaced(job.pk, ("Nobody holds the ticket.",)),),
            }
        )

    draft = fill(ask_for_draft(actor=oscar, at=now), solve, now)
    assert draft.notes == [
        "1002 Bare is left out: it has no visits yet. Set its dimensions first.",
        "1001 Patio: not placed. Nobody holds the ticket.",
    ]


def test_stopping_keeps_the_best_plan_so_far(places, oscar, now):
    draft = ask_for_draft(actor=oscar, at=now)
    done = fill(draft, chosen(places), now, stopped=True)
    assert (done.state, done.bound["stopped"]) == (Draft.State.READY, True)


def test_differences_say_who_moves_from_when_to_when(
    places, job, blue, red, firm, oscar, now
):
    publish(places, oscar, now)
    places[job.pk, 1] = (red, slot(TUESDAY, "pm"), slot(THURSDAY))
    del places[job.pk, 2]
    draft = draft_of(places, oscar, now)
    first, second = differences(draft, firm, now)
    assert first.says == "Moves half a working day later, from Blue"
    assert str(first.after) == (
        "Tue 4 Aug 2026, afternoon, to Thu 6 Aug 2026, morning, Red"
    )
    assert second.says == "Taken off the plan"
    counted = summary_of([first, second])
    assert counted.says == "1 moved, 1 taken off"


@pytest.mark.parametrize(
    ("start", "last", "says"),
    [
        ((NEXT_MONDAY, "am"), (NEXT_MONDAY, "am"), "Moves half a working day later"),
        ((NEXT_MONDAY, "pm"), (NEXT_MONDAY, "pm"), "Moves 1 working day later"),
        ((NEXT_TUESDAY, "am"), (NEXT_TUESDAY, "am"), "Moves 1½ working days later"),
        ((TUESDAY, "pm"), (WEDNESDAY, "am"), "Moves 3 working days earlier"),
        ((FRIDAY, "pm"), (NEXT_MONDAY, "am"), "Ends half a working day later"),
        ((SATURDAY, "am"), (NEXT_MONDAY, "am"), "Moves half a working day later"),
    ],
)
def test_a_move_is_counted_in_days_that_are_worked(
    job, blue, firm, oscar, now, start, last, says
):
    friday = slot(FRIDAY, "pm")
    publish({(job.pk, 2): (blue, friday, friday)}, oscar, now)
    places = {(job.pk, 2): (blue, slot(*start), slot(*last))}
    (moved,) = differences(draft_of(places, oscar, now), firm, now)
    assert moved.says == says


def test_one_of_something_is_said_as_one():
    said = dict(quality_in_words(Draft(cost={Term.UNPLACED: 1, Term.TRAVEL: 2.5})))
    assert set(said.values()) == {"1 job", "2.5 minutes on the road"}


def test_a_draft_is_put_away_once(places, oscar, sal, now):
    draft = draft_of(places, oscar, now)
    with pytest.raises(PermissionDenied):
        discard_draft(draft=draft, actor=sal, at=now)
    discard_draft(draft=draft, actor=oscar, at=now)
    with pytest.raises(Refused, match="Discarded"):
        discard_draft(draft=draft, actor=oscar, at=now)


def test_only_who_schedules_may_ask(sal, olive, now):
    for person in (sal, olive):
        with pytest.raises(PermissionDenied):
            ask_for_draft(actor=person, at=now)


@pytest.fixture
def office(client, oscar, time_machine, now):
    time_machine.move_to(now)
    client.force_login(oscar)
    return client


def page(office, draft):
    return office.get(reverse("scheduling:draft_detail", args=[draft.pk]))


def test_the_page_shows_progress_and_then_the_comparison(office, places, oscar, now):
    answer = office.post(reverse("scheduling:draft_ask"), {"why": "Rain"})
    draft = Draft.objects.get()
    assert answer.url == reverse("scheduling:draft_detail", args=[draft.pk])
    assert b"Stop it" in page(office, draft).content
    fill(draft, chosen(places), now)
    shown = page(office, draft).content.decode()
    assert "2 new" in shown
    assert "the test says so" in shown


def test_publishing_and_refusing_on_the_page(office, places, oscar, now):
    old, new = draft_of(places, oscar, now), draft_of(places, oscar, now)
    office.post(reverse("scheduling:draft_publish", args=[new.pk]))
    assert Booking.objects.count() == 2
    refused = office.post(reverse("scheduling:draft_publish", args=[old.pk]))
    assert refused.status_code == 422
    assert "changed by Oscar Office" in refused.content.decode()
    office.post(reverse("scheduling:draft_discard", args=[old.pk]))
    old.refresh_from_db()
    assert old.state == Draft.State.DISCARDED


def test_asking_twice_says_so_on_the_plan(office, job):
    office.post(reverse("scheduling:draft_ask"))
    answer = office.post(reverse("scheduling:draft_ask"), follow=True)
    assert "A draft is being worked out already" in answer.content.decode()


def test_the_owner_looks_and_does_not_publish(client, places, oscar, olive, now):
    draft = draft_of(places, oscar, now)
    client.force_login(olive)
    assert page(client, draft).status_code == 200
    answer = client.post(reverse("scheduling:draft_publish", args=[draft.pk]))
    assert answer.status_code == 403
