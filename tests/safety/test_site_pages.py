"""The day on site, as it looks on a phone."""

import json
from datetime import timedelta
from uuid import uuid4

import pytest
from django.urls import reverse

from jobs.models import BackgroundRun, LedgerEntry
from safety.domain.verbs import Verb
from safety.holds import hold_points_ahead
from safety.models import Attendance, DailyCheck, Measurement, SignOn
from safety.queries.days_work import task_minutes_at
from safety.queries.task_order import not_done_before
from safety.services.checks import Answered
from safety.services.work import finish_task
from tests.safety.conftest import MONDAY, answers, check, sign, text_of
from tests.safety.test_statements import deeper

pytestmark = pytest.mark.usefixtures("morning")
Outcome = DailyCheck.Outcome
OTHER_SLIP = {"slip": "other", "reason": "Wrong job."}


def test_the_day_says_in_plain_words_why_not_yet(issued, booked, sal, page):
    response = page(sal, "safety:site_day_detail", booked.pk)
    words = text_of(response)
    assert response.context["verdict"].word == "Not yet"
    assert "Today's hazard check is not done." in words
    assert "have not signed on to statement version 1" in words
    assert "Sign Cam on" in words


def test_without_a_statement_the_answer_is_no(booked, sal, page):
    response = page(sal, "safety:site_day_detail", booked.pk)
    assert response.context["verdict"].word == "No"


def test_after_a_go_the_answer_is_yes(signed, booked, sal, cam, page, now):
    check(booked, sal, now, here=[sal, cam])
    response = page(sal, "safety:site_day_detail", booked.pk)
    assert response.context["verdict"].word == "Yes"
    assert "Started 10:00 a.m." in text_of(response)


def test_today_leads_to_the_one_job_of_the_day(booked, sal, lou, page):
    assert page(sal, "safety:today").url == reverse(
        "safety:site_day_detail", args=[booked.pk]
    )
    assert page(lou, "safety:today").url == "/"


@pytest.mark.parametrize(
    ("who", "status"),
    [("oscar", 200), ("olive", 200), ("cam", 200), ("lou", 404), ("gus", 404)],
)
def test_others_may_read_the_day_but_not_run_it(
    issued, booked, page, who, status, request
):
    person = request.getfixturevalue(who)
    response = page(person, "safety:site_day_detail", booked.pk)
    assert response.status_code == status
    if status == 200:
        assert not response.context["runs"]
        assert "/day/check/" not in response.text
        refused = page(person, "safety:check_add", booked.pk)
        assert refused.status_code == 403


def test_a_past_day_can_be_read_and_a_wrong_one_is_not_found(
    signed, booked, sal, cam, page, now
):
    check(booked, sal, now, here=[sal, cam])
    words = text_of(page(cam, "safety:site_day", booked.pk, MONDAY.isoformat()))
    assert "Sal Lead" in words
    assert page(cam, "safety:site_day", booked.pk, "someday").status_code == 404


def check_data(response, **changed):
    """What a phone sends when everything is answered with yes."""
    form = response.context["form"]
    questions = {f"q:{question.key}": "yes" for question in form.questions}
    plain = {
        "client_uid": str(uuid4()),
        "here": list(form.people),
        "outcome": "go",
        "note": "",
        "wind_gust": "18",
        "temperature": "",
    }
    return questions | plain | changed


def test_a_check_is_made_from_the_phone(signed, booked, sal, page):
    data = check_data(page(sal, "safety:check_add", booked.pk))
    response = page(sal, "safety:check_add", booked.pk, data=data)
    assert response.url == reverse("safety:site_day_detail", args=[booked.pk])
    made = DailyCheck.objects.get()
    assert (made.outcome, made.wind_gust_ms) == (Outcome.GO, 5.0)
    assert Attendance.objects.count() == 3


def test_heat_and_sun_of_the_day_are_said_in_words(signed, booked, sal, page):
    asked = page(sal, "safety:check_add", booked.pk)
    typed = {"temperature": "38", "humidity": "40", "uv_index": "11.4"}
    page(sal, "safety:check_add", booked.pk, data=check_data(asked, **typed))
    made = DailyCheck.objects.get()
    assert (made.humidity_pct, made.uv_index) == (40.0, 11.4)
    words = text_of(page(sal, "safety:daily_check_detail", made.pk))
    assert "Feels like 43 °C in the shade (danger), hotter in the sun" in words
    assert "UV index 11, extreme: cover skin and eyes" in words


def test_nothing_is_said_of_heat_that_nobody_measured(signed, booked, sal, page):
    asked = page(sal, "safety:check_add", booked.pk)
    typed = {"temperature": "12", "humidity": "80"}
    page(sal, "safety:check_add", booked.pk, data=check_data(asked, **typed))
    words = text_of(page(sal, "safety:daily_check_detail", DailyCheck.objects.get().pk))
    assert "Feels like" not in words
    assert "UV index" not in words


def test_a_refused_go_says_why_and_keeps_what_was_typed(issued, booked, sal, page):
    data = check_data(page(sal, "safety:check_add", booked.pk), note="Two ladders.")
    response = page(sal, "safety:check_add", booked.pk, data=data)
    assert response.status_code == 422
    words = text_of(response)
    assert "First put this right" in words
    assert "have not signed on" in words
    assert "Two ladders." in response.text
    assert not DailyCheck.objects.exists()


def test_sent_twice_from_the_phone_is_once(signed, booked, sal, page):
    data = check_data(page(sal, "safety:check_add", booked.pk))
    for _ in range(2):
        page(sal, "safety:check_add", booked.pk, data=data)
    assert DailyCheck.objects.count() == 1


def test_a_check_that_waited_for_signal_keeps_its_moment(
    signed, booked, sal, page, now
):
    data = check_data(
        page(sal, "safety:check_add", booked.pk),
        device_at="2026-08-02T21:30:00Z",
        sent_at="2026-08-02T22:10:00Z",
    )
    page(sal, "safety:check_add", booked.pk, data=data)
    made = DailyCheck.objects.get()
    assert (made.device_at, made.at) == (now - timedelta(minutes=40), now)


def test_one_more_check_from_a_page_gone_back_to_is_asked_about(
    signed, booked, sal, page
):
    data = check_data(page(sal, "safety:check_add", booked.pk))
    page(sal, "safety:check_add", booked.pk, data=data)
    stopped = data | {"outcome": "no_go", "note": "Storm."}
    again = page(sal, "safety:check_add", booked.pk, data=stopped)
    assert "This page was sent before" in text_of(again)
    stopped["client_uid"] = again.context["form"]["client_uid"].value()
    page(sal, "safety:check_add", booked.pk, data=stopped)
    assert DailyCheck.objects.count() == 2


def test_the_office_sees_a_no_go_at_once(signed, booked, sal, oscar, page):
    data = check_data(
        page(sal, "safety:check_add", booked.pk), outcome="no_go", note="Storm."
    )
    page(sal, "safety:check_add", booked.pk, data=data)
    words = text_of(page(oscar, "home"))
    assert "No go today, said Sal Lead: Storm." in words


def test_the_lead_may_choose_what_is_worked_on(signed, booked, sal, page):
    task = booked.tasks.get(key="lay_sheets")
    response = page(sal, "safety:check_add", booked.pk, query=f"?task={task.pk}")
    assert [one.key for one in response.context["tasks"]] == ["lay_sheets"]
    steps = {step for q in response.context["form"].questions for step in q.steps}
    assert steps == {"lay_sheets"}


def test_a_check_is_read_as_it_was_made(signed, booked, sal, cam, page, now):
    key = next(iter(answers(booked, now)))
    said = answers(booked, now, **{key: Answered("no", "Kit comes at nine.")})
    row = check(
        booked,
        sal,
        now,
        here=[sal],
        answers=said,
        outcome=Outcome.GO_WITH_CHANGES,
        note="Two of us until nine.",
    )
    words = text_of(page(cam, "safety:daily_check_detail", row.pk))
    assert "Go with changes" in words
    assert "Kit comes at nine." in words


def test_a_person_signs_on_their_own_phone(issued, cam, page):
    response = page(cam, "safety:sign_on", issued.pk)
    assert "I have read this statement" in text_of(response)
    data = {"signature_name": "Cam Crew", "signature_strokes": "[[[1,2],[3,4]]]"}
    response = page(cam, "safety:sign_on", issued.pk, query="?back=/", data=data)
    assert response.url == "/"
    assert SignOn.objects.get().strokes == [[[1, 2], [3, 4]]]


def test_a_past_day_without_a_check_says_so(issued, booked, sal, page, now):
    past = now.date() - timedelta(days=1)
    words = text_of(page(sal, "safety:site_day", booked.pk, past.isoformat()))
    assert "No check was made on this day." in words
    assert "Toolbox talk" not in words
    words = text_of(page(sal, "safety:site_day_detail", booked.pk))
    assert "No check on this day yet." in words
    assert "Toolbox talk" in words


def test_a_wrong_name_comes_back_with_the_reason(issued, cam, page):
    data = {"signature_name": "Sam", "signature_strokes": ""}
    response = page(cam, "safety:sign_on", issued.pk, data=data)
    assert response.status_code == 422
    assert "Type the full name as it is kept here: Cam Crew." in text_of(response)


def test_the_lead_signs_somebody_on(issued, kit, sal, page):
    data = {"signature_name": "Kit Crew", "signature_strokes": ""}
    page(sal, "safety:sign_on_for", issued.pk, kit.pk, data=data)
    assert SignOn.objects.get().witnessed_by == sal


def test_nobody_is_sent_to_another_site_after_signing(issued, cam, page):
    data = {"signature_name": "Cam Crew", "signature_strokes": ""}
    query = "?back=https://elsewhere.example/"
    response = page(cam, "safety:sign_on", issued.pk, query=query, data=data)
    assert response.url == reverse("safety:statement_detail", args=[issued.pk])


def test_who_may_not_sign_or_collect(issued, oscar, lou, cam, kit, page):
    assert page(oscar, "safety:sign_on", issued.pk).status_code == 403
    assert page(lou, "safety:sign_on", issued.pk).status_code == 404
    assert page(lou, "safety:sign_on_for", issued.pk, kit.pk).status_code == 404
    assert page(cam, "safety:sign_on_for", issued.pk, kit.pk).status_code == 403


def test_the_lead_collects_only_from_people_of_the_job(issued, sal, lou, oscar, page):
    for person in (lou, oscar):
        assert page(sal, "safety:sign_on_for", issued.pk, person.pk).status_code == 404


def test_starting_under_holds_is_recorded_and_said_to_be_a_breach(booked, sal, page):
    words = text_of(page(sal, "safety:work_start", booked.pk))
    assert "kept as a breach" in words
    data = {"here": [str(sal.pk)], "client_uid": str(uuid4())}
    page(sal, "safety:work_start", booked.pk, data=data)
    assert Attendance.objects.get().person == sal


def test_a_start_is_taken_back(booked, sal, page):
    data = {"here": [str(sal.pk)], "client_uid": str(uuid4())}
    page(sal, "safety:work_start", booked.pk, data=data)
    row = Attendance.objects.get()
    page(sal, "safety:attendance_take_back", row.pk, data=OTHER_SLIP)
    row.refresh_from_db()
    assert row.taken_back_why == "Wrong job."


def test_tasks_are_started_done_and_taken_back(signed, booked, sal, page):
    task = booked.tasks.get(key="set_out")
    page(sal, "safety:task_start", task.pk, data={})
    page(sal, "safety:task_done", task.pk, data={})
    task.refresh_from_db()
    assert task.done_at is not None
    page(sal, "safety:task_take_back", task.pk, data=OTHER_SLIP)
    task.refresh_from_db()
    assert task.done_at is None


@pytest.mark.parametrize("name", ["task_start", "task_done", "task_take_back"])
def test_another_lead_finds_no_such_task(booked, lou, cam, page, name):
    task = booked.tasks.first()
    data = {"reason": "Not mine."}
    assert page(lou, f"safety:{name}", task.pk, data=data).status_code == 404
    assert page(cam, f"safety:{name}", task.pk, data=data).status_code == 403
    if name != "task_take_back":
        assert page(lou, f"safety:{name}", task.pk).status_code == 405


def test_a_hold_point_shows_what_it_should_be_and_takes_readings(booked, sal, page):
    task = booked.tasks.get(key="set_out")
    words = text_of(page(sal, "safety:hold_point_detail", task.pk))
    assert "6848 mm" in words
    assert "Allowed 5 mm" in words
    data = {"diagonal_a_mm": "6848", "diagonal_b_mm": "6860", "note": ""}
    page(sal, "safety:hold_point_detail", task.pk, data=data)
    assert not Measurement.objects.get().passed
    words = text_of(page(sal, "safety:hold_point_detail", task.pk))
    assert "12 mm, 5 mm allowed" in words


def test_a_reading_that_cannot_be_right_comes_back(booked, sal, page):
    task = booked.tasks.get(key="set_out")
    data = {"diagonal_a_mm": "6.8", "diagonal_b_mm": "6860", "note": ""}
    response = page(sal, "safety:hold_point_detail", task.pk, data=data)
    assert response.status_code == 422
    assert "cannot be right" in text_of(response)


def test_only_the_lead_measures(booked, cam, oscar, lou, page):
    task = booked.tasks.get(key="set_out")
    assert page(oscar, "safety:hold_point_detail", task.pk).context["form"] is None
    assert page(cam, "safety:hold_point_detail", task.pk, data={}).status_code == 403
    assert page(lou, "safety:hold_point_detail", task.pk).status_code == 404


def test_a_task_without_a_hold_point_has_no_such_page(booked, sal, page):
    bare = booked.tasks.get(key="lay_sheets")
    assert page(sal, "safety:hold_point_detail", bare.pk).status_code == 404


def test_everyone_who_sees_the_job_may_have_the_pdf_made(
    issued, cam, page, django_capture_on_commit_callbacks
):
    with django_capture_on_commit_callbacks(execute=True):
        response = page(cam, "safety:statement_pdf_make", issued.pk, data={})
    run = BackgroundRun.objects.get()
    assert response.url == reverse("jobs:run_detail", args=[run.pk])
    assert (run.state, run.result_url) == ("done", f"/statements/{issued.pk}.pdf")
    file = page(cam, "safety:statement_pdf", issued.pk)
    assert file.headers["Content-Type"] == "application/pdf"
    assert b"".join(file.streaming_content).startswith(b"%PDF-1.7")


def test_a_new_sign_on_asks_for_a_new_print(issued, cam, sal, page, now):
    assert page(cam, "safety:statement_pdf", issued.pk).status_code == 302
    sign(issued, sal, now + timedelta(minutes=1))
    words = text_of(page(cam, "safety:statement_detail", issued.pk))
    assert "Make the PDF" in words


def test_steps_carry_the_numbers_of_the_statement(signed, booked, sal, page):
    response = page(sal, "safety:site_day_detail", booked.pk)
    told = {one.task.key: one.number for one in response.context["tasks"]}
    printed = {step["key"]: step["position"] for step in signed.content["steps"]}
    assert told
    assert all(printed[key] == number for key, number in told.items())


def test_a_refused_no_is_marked_where_it_was_said(signed, booked, sal, page):
    data = check_data(page(sal, "safety:check_add", booked.pk))
    name = next(key for key in data if key.startswith("q:"))
    response = page(sal, "safety:check_add", booked.pk, data=data | {name: "no"})
    assert response.context["denied"] == {name}
    assert "Put it right, or go with changes" in text_of(response)


def test_a_task_started_while_held_is_warned_of_in_sight(booked, sal, page):
    task = booked.tasks.first()
    response = page(sal, "safety:task_start", task.pk, data={})
    assert response.url == reverse("safety:site_day_detail", args=[booked.pk])
    words = text_of(page(sal, "safety:site_day_detail", booked.pk))
    assert "It counts as a breach." in words


@pytest.mark.parametrize("slip", [{"reason": ""}, {"slip": "other", "reason": " "}])
def test_taking_back_needs_to_say_what_was_wrong(
    signed, booked, sal, cam, page, now, slip
):
    check(booked, sal, now, here=[cam])
    row = Attendance.objects.get()
    response = page(sal, "safety:attendance_take_back", row.pk, data=slip)
    assert response.status_code == 422
    row.refresh_from_db()
    assert row.taken_back_at is None


@pytest.fixture
def past_a_hold_point(signed, booked, sal, cam, now):
    """A check says go for a task whose hold point before it belongs to another day."""
    first = booked.tasks.get(key="set_out")
    follower = booked.tasks.filter(links_in__predecessor=first).first()
    booked.visits.first().tasks.set([follower])
    check(booked, sal, now, here=[sal, cam])
    return follower


def test_a_hold_point_never_come_to_is_said_before_the_start(
    past_a_hold_point, booked, sal, page
):
    response = page(sal, "safety:site_day_detail", booked.pk)
    says = "The hold point after “Set out posts and square the job” is not measured yet"
    assert says in text_of(response)
    assert f"Start all the same {past_a_hold_point.name}" in text_of(response)
    assert response.context["verdict"].word == "No"
    home = page(sal, "home").context["led"]
    assert [verdict.word for _, verdict, _ in home] == ["No"]
    page(sal, "safety:task_start", past_a_hold_point.pk, data={})
    words = text_of(page(sal, "safety:site_day_detail", booked.pk))
    assert "It counts as a breach." in words


def test_a_hold_point_of_the_days_own_work_stops_no_morning(
    signed, booked, sal, cam, page, now
):
    first = booked.tasks.get(key="set_out")
    follower = booked.tasks.filter(links_in__predecessor=first).first()
    finish_task(
        task=booked.tasks.get(key="site_setup"), actor=sal, at=now, device_at=None
    )
    booked.visits.first().tasks.set([first, follower])
    check(booked, sal, now, here=[sal, cam])
    response = page(sal, "safety:site_day_detail", booked.pk)
    assert response.context["verdict"].word == "Yes"
    words = text_of(response)
    assert f"Start {first.name}" in words
    assert f"Start all the same {follower.name}" in words


def test_a_press_that_waited_in_its_page_is_answered_to_the_page(
    signed, booked, sal, cam, client, now
):
    check(booked, sal, now, here=[sal, cam])
    client.force_login(sal)
    task = booked.tasks.get(key="site_setup")

    def press(name):
        url = reverse(f"safety:{name}", args=[task.pk])
        return client.post(url, {}, headers={"HX-Request": "true"})

    assert [press("task_start").headers["HX-Refresh"] for _ in range(2)] == ["true"] * 2
    assert [press("task_done").headers["HX-Refresh"] for _ in range(2)] == ["true"] * 2
    verbs = [Verb.TASK_STARTED, Verb.TASK_DONE]
    assert LedgerEntry.objects.filter(verb__in=verbs).count() == 2


def test_a_warning_that_waited_leads_to_the_top_of_the_page(booked, sal, client):
    client.force_login(sal)
    url = reverse("safety:task_start", args=[booked.tasks.first().pk])
    response = client.post(url, {}, headers={"HX-Request": "true"})
    assert response.headers["HX-Redirect"] == f"/jobs/{booked.pk}/day/"


def test_a_task_ahead_of_its_order_says_what_it_comes_after(
    signed, booked, sal, cam, page, now
):
    """A caution, kept with the start; no hold and no breach."""
    first = booked.tasks.get(key="site_setup")
    early = booked.tasks.get(key="check_load")
    check(booked, sal, now, here=[sal, cam])
    words = text_of(page(sal, "safety:site_day_detail", booked.pk))
    assert f"After {first.name}: not done yet" in words
    assert f"Start all the same {early.name}" in words
    assert f"Start {first.name}" in words
    page(sal, "safety:task_start", early.pk, data={})
    words = text_of(page(sal, "safety:site_day_detail", booked.pk))
    says = f"Started: {early.name}. It comes after {first.name}: not done yet."
    assert says in words
    kept = LedgerEntry.objects.get(verb=Verb.TASK_STARTED).payload
    assert json.loads(kept)["not_done_before"] == [first.name]
    page(sal, "safety:task_done", first.pk, data={})
    words = text_of(page(sal, "safety:site_day_detail", booked.pk))
    assert f"After {first.name}: not done yet" not in words


def test_done_at_once_ahead_of_its_order_is_kept_too(signed, booked, sal, page):
    early = booked.tasks.get(key="check_load")
    page(sal, "safety:task_done", early.pk, data={})
    kept = LedgerEntry.objects.get(verb=Verb.TASK_DONE).payload
    assert json.loads(kept)["not_done_before"] == [
        booked.tasks.get(key="site_setup").name
    ]


def test_a_task_that_is_not_called_for_hands_on_to_those_before_it(booked, now):
    """Nobody does it, so what comes before it counts in its place."""
    called_for = set(task_minutes_at([booked], now)[booked.pk])
    left_out = booked.tasks.exclude(key__in=called_for)
    names = {name for names in not_done_before(booked, now).values() for name in names}
    assert left_out
    assert not names & {task.name for task in left_out}
    for task in left_out.filter(links_out__isnull=False, links_in__isnull=False):
        follower = task.links_out.first().successor
        assert not_done_before(booked, now)[follower.pk]


def test_what_comes_before_is_asked_as_often_for_all_tasks_as_for_three(
    make_job, now, django_assert_num_queries
):
    many, few = make_job("Many"), make_job("Few")
    few.tasks.exclude(key__in=["site_setup", "set_out", "fix_bearer"]).delete()
    for job in (many, few):
        with django_assert_num_queries(3):
            not_done_before(job, now)
        with django_assert_num_queries(3):
            hold_points_ahead([job], now)


def test_who_signs_is_told_that_the_version_is_out_of_date(
    issued, booked, cam, kit, sal, oscar, page, now
):
    said = "Out of date The job changed since this was issued: "
    assert said not in text_of(page(cam, "safety:sign_on", issued.pk))
    deeper(booked, oscar, now)
    words = text_of(page(cam, "safety:sign_on", issued.pk))
    assert said in words
    assert "everybody signs on to that again" in words
    assert said in text_of(page(sal, "safety:sign_on_for", issued.pk, kit.pk))


def test_several_tasks_before_one_are_told_apart(signed, booked, sal, page):
    """Names have commas of their own."""
    task = booked.tasks.get(key="fix_bearer")
    names = not_done_before(booked, signed.issued_at)[task.pk]
    words = text_of(page(sal, "safety:site_day_detail", booked.pk))
    assert len(names) > 1
    assert f"After “{names[0]}”" in words
    assert f"and “{names[-1]}”: not done yet" in words
