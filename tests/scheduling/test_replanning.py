"""Something goes wrong on a published plan: one action, a draft, and whom to tell."""

from datetime import date, timedelta
from typing import Any

import pytest
from django.core.exceptions import PermissionDenied
from django.urls import reverse

from jobs.domain.approvals import Step
from jobs.models import BackgroundRun
from jobs.services.approvals import record_step, set_needed
from jobs.services.jobs import edit_job
from jobs.services.sequence import remove_task
from scheduling.domain.checker import violations
from scheduling.domain.engine import solve
from scheduling.domain.policy import Policy
from scheduling.models import Absence, Booking, Draft, LostDay, PlanHead, Visit
from scheduling.queries.differences import differences
from scheduling.queries.telling import telling
from scheduling.queries.unfit import unfit_bookings
from scheduling.services.absences import record_absence
from scheduling.services.deliveries import change_delivery
from scheduling.services.drafts import (
    ask_for_draft,
    catch_up,
    suggest_draft,
    why_lost,
)
from scheduling.services.lost_days import (
    call_off_on_site,
    cancel_lost_day,
    record_lost_day,
)
from scheduling.services.plan import publish_draft
from scheduling.services.plan_choice import choose_plan
from tests.scheduling.plans import draft_of, publish, slot

MONDAY, TUESDAY, WEDNESDAY, THURSDAY, FRIDAY = (date(2026, 8, d) for d in range(3, 8))
NEXT_MONDAY, NEXT_TUESDAY = date(2026, 8, 10), date(2026, 8, 11)


@pytest.fixture
def other(make_job):
    return make_job("Carport")


@pytest.fixture
def published(job, other, blue, red, oscar, now):
    """Blue does one job, Red the other, this week and the next."""
    places = {
        (job.pk, 1): (blue, slot(TUESDAY), slot(WEDNESDAY, "pm")),
        (job.pk, 2): (blue, slot(FRIDAY), slot(FRIDAY, "pm")),
        (other.pk, 1): (red, slot(NEXT_MONDAY), slot(NEXT_TUESDAY)),
        (other.pk, 2): (red, slot(date(2026, 8, 13)), slot(date(2026, 8, 13), "pm")),
    }
    publish(places, oscar, now)
    return places


def mended(actor, at):
    """A draft by the real engine, as one is made when something went wrong."""

    def calm(problem, seed, on_progress, should_stop):
        answer = solve(
            problem,
            policy=Policy.mending(),
            seed=seed,
            deadline_s=5,
            step_budget=300,
        )
        assert violations(problem, answer.bookings) == ()
        return answer

    return draft_of({}, actor, at, solve=calm)


@pytest.fixture
def office(client, oscar, now, time_machine):
    time_machine.move_to(now)
    client.force_login(oscar)
    return client


def test_everything_fits_right_after_publishing(published, firm, now):
    assert unfit_bookings(firm, now) == []


def test_a_sick_person_makes_a_booking_unfit(published, kim, firm, oscar, now):
    days: dict[str, Any] = {"from_on": TUESDAY, "to_on": TUESDAY}
    record_absence(person=kim, reason="Sick", actor=oscar, at=now, **days)
    (one,) = unfit_bookings(firm, now)
    assert (one.visit.ordinal, one.crew) == (1, "Blue")
    assert "Kim Crew: Sick" in one.reasons[0]


def test_what_a_crew_on_site_lacks_is_told_with_the_draft(
    published, job, kim, oscar, now
):
    days: dict[str, Any] = {"from_on": WEDNESDAY, "to_on": WEDNESDAY}
    on_site = now + timedelta(days=1, hours=2)
    record_absence(person=kim, reason="Sick", actor=oscar, at=on_site, **days)
    notes = mended(oscar, on_site + timedelta(hours=1)).notes
    told = [note for note in notes if note.startswith(f"{job} is on site and stays")]
    assert any("Blue has 1 of the 2 people" in note for note in told)


def test_a_promise_that_the_draft_breaks_is_told_with_it(published, job, oscar, now):
    edit_job(
        job=job,
        version=job.version,
        values={"promised_on": FRIDAY},
        actor=oscar,
        at=now,
    )
    kept = draft_of(published, oscar, now)
    assert not any("promised for" in note for note in kept.notes)
    late = dict(published)
    late[job.pk, 2] = (published[job.pk, 2][0], slot(NEXT_MONDAY), slot(NEXT_MONDAY))
    told = draft_of(late, oscar, now).notes
    says = "promised for Fri 7 Aug 2026, and ends on Mon 10 Aug 2026 in this plan."
    assert f"{job}: {says}" in told


def test_a_sick_person_moves_only_the_job_they_are_on(
    published, job, kim, firm, oscar, now
):
    days: dict[str, Any] = {"from_on": TUESDAY, "to_on": WEDNESDAY}
    record_absence(person=kim, reason="Sick", actor=oscar, at=now, **days)
    changes = differences(mended(oscar, now), firm, now)
    assert {c.job for c in changes if not c.is_same} == {job}


def test_a_rain_day_moves_only_what_lies_on_it(published, job, firm, oscar, now):
    record_lost_day(day=FRIDAY, job=None, reason="Rain", actor=oscar, at=now)
    assert [one.visit.ordinal for one in unfit_bookings(firm, now)] == [2]
    changed = [
        change
        for change in differences(mended(oscar, now), firm, now)
        if not change.is_same
    ]
    assert [(c.job, c.visit.ordinal) for c in changed] == [(job, 2)]


@pytest.mark.parametrize("rain", [0, 10])
def test_a_day_called_off_lengthens_what_is_on_site_once(
    job, other, blue, red, firm, oscar, now, rain
):
    allowed = {"leaning": "dates", "rain_percent": [rain] * 12}
    choose_plan(version=1, values=allowed, actor=oscar, at=now)
    places = {
        (job.pk, 1): (blue, slot(TUESDAY), slot(THURSDAY, "pm")),
        (job.pk, 2): (blue, slot(FRIDAY), slot(FRIDAY, "pm")),
        (other.pk, 1): (red, slot(NEXT_MONDAY), slot(NEXT_TUESDAY)),
        (other.pk, 2): (red, slot(date(2026, 8, 13)), slot(date(2026, 8, 13), "pm")),
    }
    publish(places, oscar, now)
    on_site = now + timedelta(days=1, hours=2)
    lost = record_lost_day(
        day=WEDNESDAY, job=None, reason="Rain", actor=oscar, at=on_site
    )
    later = on_site + timedelta(hours=1)
    publish_draft(draft=mended(oscar, later), actor=oscar, at=later)
    first = Booking.objects.get(visit__job=job, visit__ordinal=1)
    assert (first.start_on, first.end_on) == (TUESDAY, FRIDAY)
    again = later + timedelta(hours=1)
    changes = differences(mended(oscar, again), firm, again)
    assert [c.visit.ordinal for c in changes if not c.is_same] == []
    cancel_lost_day(lost=lost, actor=oscar, at=again)
    publish_draft(draft=mended(oscar, again), actor=oscar, at=again)
    first.refresh_from_db()
    assert (first.start_on, first.end_on) == (TUESDAY, THURSDAY)


def test_a_pinned_visit_leaves_a_day_called_off_and_keeps_its_crew(
    published, job, firm, oscar, now
):
    booking = Booking.objects.get(visit__job=job, visit__ordinal=2, cancelled_at=None)
    booking.is_pinned = True
    booking.save()
    record_lost_day(day=FRIDAY, job=None, reason="Rain", actor=oscar, at=now)
    draft = mended(oscar, now)
    (moved,) = [one for one in differences(draft, firm, now) if not one.is_same]
    assert (moved.job, moved.visit.ordinal) == (job, 2)
    row = draft.bookings.get(visit=booking.visit)
    assert (row.crew, row.start_on > FRIDAY) == (booking.crew, True)
    assert any(
        "pinned to Fri 7 Aug 2026, which is called off" in n for n in draft.notes
    )


def test_one_action_records_and_drafts(
    office, published, kim, django_capture_on_commit_callbacks
):
    sent = {
        "person": kim.pk,
        "from_on": "2026-08-04",
        "to_on": "2026-08-04",
        "reason": "Flu",
        "then_draft": "yes",
    }
    answer = office.post(reverse("scheduling:absence_add"), sent)
    draft = Draft.objects.latest("pk")
    assert answer.url == reverse("scheduling:draft_detail", args=[draft.pk])
    assert (draft.mends, draft.leaning) == (True, "calm")
    assert draft.why == "Kim Crew away Tue 4 Aug 2026"  # not of what
    assert Absence.objects.get().reason == "Flu"


def test_without_that_button_the_bookings_are_shown(office, published, kim):
    sent = {"person": kim.pk, "from_on": "2026-08-04", "to_on": "2026-08-04"}
    url = reverse("scheduling:absence_add")
    page = office.post(url, {**sent, "reason": "Flu"}, follow=True).content.decode()
    assert "Bookings it touches" in page
    assert "Set out … Lift beams" in page
    assert "Plan around it" in page


def test_a_day_called_off_can_be_planned_around_at_once(office, published):
    sent = {"day": "2026-08-07", "reason": "Rain", "then_draft": "yes"}
    office.post(reverse("scheduling:lostday_add"), sent)
    assert LostDay.objects.get().day == FRIDAY
    assert Draft.objects.latest("pk").why == "Fri 7 Aug 2026 called off: Rain"


@pytest.fixture
def on_site(client, sal, now, time_machine):
    """Sal on site, with a phone."""
    time_machine.move_to(now)
    client.force_login(sal)
    return client


def called_off(client, job, day="2026-08-07"):
    sent = {"day": day, "job": job.pk, "reason": "Rain"}
    return client.post(reverse("scheduling:lostday_add"), sent, follow=True)


def test_a_day_called_off_on_site_starts_a_draft_for_the_office(
    on_site, published, job, sal, oscar, firm, now, django_capture_on_commit_callbacks
):
    head = PlanHead.objects.get().number
    with django_capture_on_commit_callbacks(execute=True):
        said = called_off(on_site, job).text
    assert "Fri 7 Aug 2026 is called off. The office gets a draft" in said
    draft = Draft.objects.latest("pk")
    assert (draft.why, draft.mends, draft.made_by, draft.state) == (
        "Fri 7 Aug 2026 called off: Rain",
        True,
        sal,
        "ready",
    )
    assert draft.from_site
    assert draft.run is not None
    assert draft.run.asked_by is None  # the office's to follow, not the lead's
    changed = [c for c in differences(draft, firm, now) if not c.is_same]
    assert [(c.job, c.visit.ordinal) for c in changed] == [(job, 2)]
    # Nothing is published by it, and the lead may neither see nor publish it.
    assert PlanHead.objects.get().number == head
    detail = reverse("scheduling:draft_detail", args=[draft.pk])
    assert on_site.get(detail).status_code == 403
    publish_url = reverse("scheduling:draft_publish", args=[draft.pk])
    assert on_site.post(publish_url).status_code == 403
    on_site.force_login(oscar)
    page = on_site.get(reverse("scheduling:plan")).text
    assert "A plan around it is ready: 1 moved, 3 the same." in page
    assert "Compare and publish" in page
    assert detail in on_site.get("/").text
    assert "Publish it" in on_site.get(detail).text
    on_site.post(publish_url, follow=True)
    assert PlanHead.objects.get().number == head + 1
    assert detail not in on_site.get("/").text


def test_a_day_without_work_booked_is_not_called_off(on_site, published, job):
    before = Draft.objects.count()
    said = called_off(on_site, job, day="2026-08-06").text
    assert "on Thu 6 Aug 2026: there is nothing to call off." in said
    assert (LostDay.objects.count(), Draft.objects.count()) == (0, before)


def test_the_day_on_site_leads_to_calling_it_off(on_site, published, job):
    link = f"{reverse('scheduling:lostday_add')}?job={job.pk}"
    day = reverse("safety:site_day_detail", args=[job.pk])
    assert link in on_site.get(day).text
    assert f'value="{job.pk}" selected' in on_site.get(link).text


def test_another_lead_s_job_starts_no_draft(on_site, published, job, lou, now):
    lost = record_lost_day(
        day=FRIDAY, job=job, reason="Rain", actor=job.site_lead, at=now
    )
    with pytest.raises(PermissionDenied):
        suggest_draft(lost=lost, actor=lou, at=now)


def test_while_a_draft_is_worked_out_the_next_one_waits_for_it(
    on_site, published, job, oscar, now
):
    making = ask_for_draft(actor=oscar, at=now)
    BackgroundRun.objects.filter(draft=making).update(state="running", started_at=now)
    later = now + timedelta(minutes=1)
    lost, draft = call_off_on_site(
        day=FRIDAY, job=job, reason="Rain", actor=job.site_lead, at=later
    )
    assert draft is None
    assert catch_up(at=later) is None  # it is not done yet
    Draft.objects.filter(pk=making.pk).update(state=Draft.State.READY)
    caught = catch_up(at=later)
    assert caught is not None
    assert (caught.why, caught.made_by) == (why_lost(lost), job.site_lead)
    Draft.objects.filter(pk=caught.pk).update(state=Draft.State.READY)
    BackgroundRun.objects.filter(draft=caught).update(
        started_at=later + timedelta(seconds=5)
    )
    assert catch_up(at=later) is None


def test_a_draft_from_site_leaves_the_cut_of_visits_alone(
    on_site, published, job, oscar, now, django_capture_on_commit_callbacks
):
    remove_task(task=job.tasks.get(key="gutter"), actor=oscar, at=now)
    remove_task(task=job.tasks.get(key="sheets"), actor=oscar, at=now)
    before = set(Visit.objects.filter(dropped_at__isnull=True))
    with django_capture_on_commit_callbacks(execute=True):
        called_off(on_site, job, day="2026-08-04")
    assert Draft.objects.latest("pk").state == Draft.State.READY
    assert set(Visit.objects.filter(dropped_at__isnull=True)) == before
    assert Booking.objects.filter(cancelled_at__isnull=True).count() == 4


def test_a_draft_of_the_office_that_waits_is_not_lost_sight_of(
    on_site, published, job, oscar, now, django_capture_on_commit_callbacks
):
    waiting = draft_of(published, oscar, now)
    with django_capture_on_commit_callbacks(execute=True):
        called_off(on_site, job)
    on_site.force_login(oscar)
    page = on_site.get(reverse("scheduling:plan")).text
    assert "A draft of Oscar Office waits too." in page
    assert reverse("scheduling:draft_detail", args=[waiting.pk]) in page


def test_a_refused_approval_offers_a_draft_on_the_job(
    office, published, job, oscar, now
):
    approval = job.approvals.get(kind__key="council")
    set_needed(
        approval=approval,
        version=approval.version,
        required=True,
        reason="Near the boundary",
        actor=oscar,
        at=now,
    )
    for step in (Step.LODGED, Step.REFUSED):
        record_step(
            approval=approval, step=step, happened_on=MONDAY, actor=oscar, at=now
        )
    page = office.get(reverse("jobs:job_detail", args=[job.pk])).content.decode()
    assert "It is booked before this is cleared" in page
    assert f'name="why" value="{job.number}: ' in page


def test_an_approval_that_is_back_in_time_needs_no_draft(office, job, published):
    page = office.get(reverse("jobs:job_detail", args=[job.pk])).content.decode()
    assert "It is booked before this is cleared" not in page


def test_a_late_delivery_can_be_planned_around(office, published, delivery):
    url = reverse("scheduling:delivery_detail", args=[delivery.pk])
    page = office.get(url).content.decode()
    assert "Delivery of Frames and Sheets for" in page
    assert "now due Wed 5 Aug 2026" in page


def test_the_plan_says_what_no_longer_fits(office, published, kim, oscar, now):
    days: dict[str, Any] = {"from_on": TUESDAY, "to_on": TUESDAY}
    record_absence(person=kim, reason="Sick", actor=oscar, at=now, **days)
    url = reverse("scheduling:plan_unfit")
    assert "Kim Crew: Sick" in office.get(url).content.decode()
    part = office.get(url, headers={"HX-Request": "true"}).content.decode()
    assert "A booking no longer fits" in part
    assert "<html" not in part


def moved(published, job, crew, *days):
    """The same places, but one visit is somewhere else."""
    return {**published, (job.pk, 2): (crew, *days)}


def test_clients_crews_and_suppliers_are_to_be_told(
    published, job, delivery, blue, firm, oscar, now
):
    later = (slot(NEXT_MONDAY), slot(NEXT_MONDAY, "pm"))
    draft = draft_of(moved(published, job, blue, *later), oscar, now)
    found = telling(differences(draft, firm, now), MONDAY)
    assert found.clients == (
        (
            job,
            "Now Tue 4 Aug 2026 to Mon 10 Aug 2026; "
            "it was Tue 4 Aug 2026 to Fri 7 Aug 2026.",
        ),
    )
    assert [crew for crew, _ in found.crews] == ["Blue"]
    assert [one.says for one in found.rebook] == [
        "Due Wed 5 Aug 2026; the work moves from Fri 7 Aug 2026, morning "
        "to Mon 10 Aug 2026, morning. It can come later."
    ]


def test_a_load_that_comes_too_late_is_named(
    published, job, delivery, blue, firm, oscar, now
):
    change_delivery(
        delivery=delivery,
        version=delivery.version,
        values={"due_on": FRIDAY, "due_half": "am"},
        amounts=None,
        actor=oscar,
        at=now,
    )
    sooner = (slot(THURSDAY), slot(THURSDAY, "pm"))
    draft = draft_of(moved(published, job, blue, *sooner), oscar, now)
    (one,) = telling(differences(draft, firm, now), MONDAY).rebook
    assert one.says.endswith("It has to come sooner.")
    right_after = (slot(FRIDAY, "pm"), slot(FRIDAY, "pm"))
    draft = draft_of(moved(published, job, blue, *right_after), oscar, now)
    assert telling(differences(draft, firm, now), MONDAY).rebook == ()


def test_another_crew_hears_too(published, job, blue, red, firm, oscar, now):
    draft = draft_of(
        moved(published, job, red, slot(FRIDAY), slot(FRIDAY, "pm")), oscar, now
    )
    found = telling(differences(draft, firm, now), MONDAY)
    assert dict(found.crews) == {
        "Blue": (f"{job}, visit 2: Red does it, not on Fri 7 Aug 2026, morning",),
        "Red": (
            f"{job}, visit 2: from Fri 7 Aug 2026, morning to Fri 7 Aug 2026, afternoon",
        ),
    }


def test_the_draft_s_page_says_whom_to_tell(
    office, published, job, delivery, blue, oscar, now
):
    later = (slot(NEXT_MONDAY), slot(NEXT_MONDAY, "pm"))
    draft = draft_of(moved(published, job, blue, *later), oscar, now)
    url = reverse("scheduling:draft_detail", args=[draft.pk])
    page = office.get(url).content.decode()
    for words in ("Whom to tell", "Deliveries to book again", "It can come later."):
        assert words in page
