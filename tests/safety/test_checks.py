"""The daily hazard check: go, go with changes, no go."""

from datetime import timedelta
from io import BytesIO
from uuid import uuid4

import pytest
from django.core.exceptions import PermissionDenied
from django.core.files.uploadedfile import SimpleUploadedFile
from PIL import Image

from jobs.domain.refusals import Refused, SentBefore
from jobs.models import LedgerEntry
from safety.domain.verbs import Verb
from safety.models import Attendance, DailyCheck
from safety.queries.site_day import questions_about
from safety.queries.statements import issued_at
from safety.services.checks import Answered, Weather
from tests.safety.conftest import answers, check, sign

Outcome = DailyCheck.Outcome


def a_control_question(job, at):
    return next(
        key
        for key in answers(job, at)
        if not key.startswith(("people", "weather", "access"))
    )


def test_a_go_keeps_the_answers_and_who_started(signed, booked, sal, cam, now):
    row = check(booked, sal, now, here=[sal, cam])
    assert (row.outcome, row.statement, row.open_holds) == (Outcome.GO, signed, [])
    assert row.answers.count() == len(answers(booked, now))
    started = Attendance.objects.filter(job=booked, day=row.day)
    assert {one.person for one in started} == {sal, cam}


def test_questions_come_from_the_controls_of_todays_steps(signed, booked, now):
    keys = answers(booked, now).keys()
    assert {"people.signed", "weather.wind", "access.clear"} <= keys
    controls = {
        control["key"]
        for step in signed.content["steps"]
        for line in step["lines"]
        for control in line["controls"]
        if control["ask"]
    }
    assert keys & controls


def test_go_is_refused_while_somebody_here_has_not_signed(
    issued, booked, sal, cam, now
):
    sign(issued, sal, now)
    with pytest.raises(Refused, match="Cam Crew has not signed on"):
        check(booked, sal, now, here=[sal, cam])
    assert check(booked, sal, now, here=[sal]).outcome == Outcome.GO


def test_go_is_refused_without_a_statement(booked, sal, now):
    with pytest.raises(Refused, match="No statement is issued"):
        check(booked, sal, now, here=[sal])
    assert not DailyCheck.objects.exists()


def test_no_go_is_never_refused_for_holds(booked, sal, now):
    row = check(booked, sal, now, outcome=Outcome.NO_GO, note="Nothing is issued.")
    assert row.open_holds == ["statement.missing"]
    assert not Attendance.objects.exists()


def test_no_go_needs_a_reason(signed, booked, sal, now):
    with pytest.raises(Refused, match="Say why it is no go"):
        check(booked, sal, now, outcome=Outcome.NO_GO)


def test_an_unanswered_question_is_named(signed, booked, sal, now):
    left = answers(booked, now)
    left.pop("access.clear")
    with pytest.raises(Refused, match="free for an ambulance"):
        check(booked, sal, now, here=[sal], answers=left)


def test_a_no_does_not_go_with_go(signed, booked, sal, now):
    key = a_control_question(booked, now)
    said = answers(booked, now, **{key: Answered("no")})
    with pytest.raises(Refused, match="You said no to"):
        check(booked, sal, now, here=[sal], answers=said)


def test_a_no_goes_with_changes_when_it_says_what_is_done(signed, booked, sal, now):
    key = a_control_question(booked, now)
    changed = {"outcome": Outcome.GO_WITH_CHANGES, "note": "Other ladder today."}
    bare = answers(booked, now, **{key: Answered("no")})
    with pytest.raises(Refused, match="Say what is done instead"):
        check(booked, sal, now, here=[sal], answers=bare, **changed)
    said = answers(booked, now, **{key: Answered("no", "Lou brings the other one.")})
    row = check(booked, sal, now, here=[sal], answers=said, **changed)
    assert row.answers.get(key=key).note == "Lou brings the other one."


def test_going_with_changes_says_which(signed, booked, sal, now):
    with pytest.raises(Refused, match="done differently"):
        check(booked, sal, now, here=[sal], outcome=Outcome.GO_WITH_CHANGES)


def test_a_later_check_counts(signed, booked, sal, now):
    check(booked, sal, now, outcome=Outcome.NO_GO, note="Storm.")
    later = now + timedelta(hours=2)
    assert check(booked, sal, later, here=[sal]).outcome == Outcome.GO


@pytest.mark.parametrize(
    "weather",
    [
        Weather(wind_gust_ms=-1),
        Weather(wind_gust_ms=300),
        Weather(temperature_c=99),
        Weather(humidity_pct=101),
        Weather(uv_index=26),
    ],
)
def test_weather_that_cannot_be_right_is_asked_again(signed, booked, sal, now, weather):
    with pytest.raises(Refused, match="cannot be right"):
        check(booked, sal, now, here=[sal], weather=weather)


def test_sent_twice_is_once(signed, booked, sal, now):
    uid = uuid4()
    rows = [check(booked, sal, now, here=[sal], client_uid=uid) for _ in range(2)]
    assert rows[0].pk == rows[1].pk
    assert Attendance.objects.count() == 1


def test_another_check_under_the_same_id_is_refused_not_dropped(
    signed, booked, sal, cam, now
):
    uid = uuid4()
    check(booked, sal, now, here=[sal], client_uid=uid)
    windy = Weather(wind_gust_ms=5.0)
    for changed in ({"weather": windy}, {"here": [sal, cam]}):
        said = {"here": [sal], "client_uid": uid} | changed
        with pytest.raises(SentBefore, match="Go, by Sal Lead"):
            check(booked, sal, now, **said)
    assert DailyCheck.objects.get().wind_gust_ms is None


def test_go_is_refused_in_more_wind_than_a_task_bears(signed, booked, sal, now):
    task = booked.tasks.get(key="lay_sheets")
    gust = Weather(wind_gust_ms=task.spec["wind_limit_ms"] + 1)
    said = {
        "here": [sal],
        "tasks": [task],
        "weather": gust,
        "answers": _all_yes(booked, [task], now),
    }
    with pytest.raises(Refused, match="above the firm's limit of"):
        check(booked, sal, now, **said)
    changed = {"outcome": Outcome.GO_WITH_CHANGES, "note": "Sheets wait."}
    assert check(booked, sal, now, **said, **changed).pk


def _all_yes(job, tasks, at):
    asked = questions_about(issued_at([job], at)[job.pk], tasks)
    return {question.key: Answered("yes") for question in asked}


def test_a_photo_is_kept_with_it(signed, booked, sal, now):
    buffer = BytesIO()
    Image.new("RGB", (8, 8), "white").save(buffer, "PNG")
    photo = SimpleUploadedFile("IMG_1.png", buffer.getvalue())
    row = check(booked, sal, now, here=[sal], photo=photo)
    assert row.photo.media_type == "image/png"
    assert row.photo.job == booked


@pytest.mark.parametrize("who", ["lou", "cam", "oscar", "olive", "gus"])
def test_only_the_lead_of_this_job_checks(signed, booked, now, who, request):
    with pytest.raises(PermissionDenied):
        check(booked, request.getfixturevalue(who), now)


def test_the_lead_of_the_booked_crew_may_check(
    make_job, lou, sal, oscar, before, now, blue, book
):
    other = make_job("Led by Lou", site_lead=lou)
    book(other, blue)
    row = check(other, sal, now, outcome=Outcome.NO_GO, note="Wrong address.")
    assert row.checked_by == sal


def test_the_ledger_keeps_what_was_said_no_to(signed, booked, sal, now):
    check(booked, sal, now, here=[sal])
    entry = LedgerEntry.objects.get(verb=Verb.CHECKED)
    assert '"outcome":"go"' in entry.payload
