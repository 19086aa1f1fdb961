"""The pages of the plan and of its versions."""

import pytest
from django.urls import reverse

from jobs.models import Document
from jobs.services.clients import edit_site
from safety.models import PlanEdit, Statement
from tests.safety.conftest import issue, plan_now, review, text_of
from tests.safety.test_plan_edits import REASON
from tests.safety.test_statements import deeper

pytestmark = pytest.mark.usefixtures("morning")


def line(job, at):
    return plan_now(job, at).plan.lines[0]


def test_the_plan_says_that_it_is_a_draft_and_what_it_does_not_decide(job, oscar, page):
    words = text_of(page(oscar, "safety:plan_detail", job.pk))
    assert "Draft until a competent person reviews and issues it" in words
    assert "What this plan does not decide" in words
    assert "No law asks for a risk score" in words


def test_every_line_says_why_and_with_which_standing(job, oscar, page, now):
    response = page(oscar, "safety:plan_detail", job.pk)
    one = line(job, now)
    assert one.why in text_of(response)
    for basis in ("law", "common practice", "firm's decision"):
        assert f'data-basis="{basis}"'.replace("'", "&#x27;") in response.text
    assert "Check before relying on it" in text_of(response)


def test_steps_stand_in_the_order_of_the_work(job, oscar, page):
    content = page(oscar, "safety:plan_detail", job.pk).context["page"].content
    positions = [step["position"] for step in content["steps"]]
    assert positions == sorted(positions)
    for step in content["steps"]:
        for one in step["lines"]:
            places = [LEVELS.index(control["level"]) for control in one["controls"]]
            assert places == sorted(places)


LEVELS = ["eliminate", "substitute", "isolate", "engineering", "administrative", "ppe"]


def test_a_job_without_dimensions_says_what_is_missing(make_job, oscar, page):
    bare = make_job(dims=None)
    words = text_of(page(oscar, "safety:plan_detail", bare.pk))
    assert "The dimensions are not set" in words


def test_unknown_facts_are_named_as_the_worse_case(job, site, oscar, page, now):
    edit_site(
        site=site,
        version=site.version,
        values={"overhead_line": None},
        actor=oscar,
        at=now,
    )
    words = text_of(page(oscar, "safety:plan_detail", job.pk))
    assert "Nobody has found out yet" in words


@pytest.mark.parametrize(
    ("who", "status"), [("sal", 200), ("olive", 200), ("lou", 404), ("gus", 404)]
)
def test_who_may_read_the_plan(job, page, who, status, request):
    person = request.getfixturevalue(who)
    assert page(person, "safety:plan_detail", job.pk).status_code == status


@pytest.mark.parametrize("who", ["sal", "olive"])
def test_who_reads_may_not_change(job, page, who, now, request):
    person = request.getfixturevalue(who)
    query = f"?line={line(job, now).key}"
    for name, args in (
        ("safety:plan_edit", ("words",)),
        ("safety:plan_line", ()),
        ("safety:plan_add", ()),
        ("safety:statement_review", ()),
    ):
        assert page(person, name, job.pk, *args, query=query).status_code == 403


def test_the_words_of_a_line_are_changed_with_a_reason(job, oscar, page, now):
    one = line(job, now)
    data = {"name": one.name, "harm": "A crushed hand.", "why": "", "reason": REASON}
    response = page(
        oscar, "safety:plan_edit", job.pk, "words", query=f"?line={one.key}", data=data
    )
    assert response.status_code == 302
    assert PlanEdit.objects.get().changes["harm"] == "A crushed hand."


def test_a_change_without_a_reason_comes_back_with_what_was_typed(
    job, oscar, page, now
):
    one = line(job, now)
    data = {"name": one.name, "harm": "A crushed hand.", "reason": "ok"}
    response = page(
        oscar, "safety:plan_edit", job.pk, "words", query=f"?line={one.key}", data=data
    )
    assert response.status_code == 422
    assert "A crushed hand." in response.text
    assert "Say why in a sentence" in text_of(response)


@pytest.mark.parametrize("what", ["words", "rating", "leave-out", "add-control"])
def test_every_way_to_change_a_line_has_a_page(job, oscar, page, now, what):
    query = f"?line={line(job, now).key}"
    assert page(oscar, "safety:plan_edit", job.pk, what, query=query).status_code == 200


def test_a_line_or_a_way_that_is_not_there_is_not_found(job, oscar, page, now):
    assert (
        page(oscar, "safety:plan_edit", job.pk, "words", query="?line=x").status_code
        == 404
    )
    assert page(oscar, "safety:plan_edit", job.pk, "burn").status_code == 404
    assert page(oscar, "safety:plan_line", job.pk, query="?line=x").status_code == 404


def test_a_hazard_is_added_to_a_step(job, oscar, page):
    data = {
        "task_key": "set_out",
        "name": "Bees in the wall",
        "harm": "Stings.",
        "text": "The client has the nest taken out.",
        "level": "eliminate",
        "who": "office",
        "when": "before the job starts",
        "check": "The client says so.",
        "initial_likelihood": "3",
        "initial_consequence": "3",
        "residual_likelihood": "1",
        "residual_consequence": "3",
        "reason": REASON,
    }
    response = page(oscar, "safety:plan_add", job.pk, data=data)
    assert response.url.endswith("#step-set_out")
    assert "Bees in the wall" in text_of(page(oscar, "safety:plan_detail", job.pk))


def test_a_change_is_taken_back_after_asking_once_more(job, oscar, page, now):
    one = line(job, now)
    data = {"reason": REASON}
    query = f"?line={one.key}"
    page(oscar, "safety:plan_edit", job.pk, "leave-out", query=query, data=data)
    edit = PlanEdit.objects.get()
    assert REASON in text_of(page(oscar, "safety:plan_edit_undo", edit.pk))
    page(oscar, "safety:plan_edit_undo", edit.pk, data={})
    edit.refresh_from_db()
    assert edit.undone_at == now


def review_data(job, at):
    return {"seen": plan_now(job, at).digest, "competent": "on", "note": "Walked it."}


def test_a_plan_is_reviewed_issued_and_listed(job, oscar, page, now):
    response = page(
        oscar, "safety:statement_review", job.pk, data=review_data(job, now)
    )
    statement = Statement.objects.get()
    assert response.url == reverse("safety:statement_detail", args=[statement.pk])
    assert "Nobody may work by this version" in text_of(
        page(oscar, "safety:statement_detail", statement.pk)
    )
    page(oscar, "safety:statement_issue", statement.pk, data={"consulted": "on"})
    statement.refresh_from_db()
    assert statement.state == "issued"
    words = text_of(page(oscar, "safety:statement_list", job.pk))
    assert "Version 1 In force Oscar Office" in words


def test_review_asks_for_the_reviewers_word(job, oscar, page, now):
    data = review_data(job, now) | {"competent": ""}
    response = page(oscar, "safety:statement_review", job.pk, data=data)
    assert response.status_code == 422
    assert "Read the plan first" in text_of(response)
    assert "Walked it." in response.text


def test_a_plan_that_changed_under_the_reviewer_is_shown_again(job, oscar, page, now):
    data = review_data(job, now)
    deeper(job, oscar, now)
    response = page(oscar, "safety:statement_review", job.pk, data=data)
    assert response.status_code == 422
    assert "The plan changed after you opened it" in text_of(response)
    assert "Walked it." in response.text


def test_a_waiting_version_is_seen_by_the_office_only(
    job, oscar, sal, olive, page, before
):
    waiting = review(job, oscar, before)
    assert page(olive, "safety:statement_detail", waiting.pk).status_code == 200
    assert page(sal, "safety:statement_detail", waiting.pk).status_code == 404
    assert page(sal, "safety:statement_issue", waiting.pk).status_code == 404


def test_only_the_office_issues_and_drops(job, oscar, olive, page, before):
    waiting = review(job, oscar, before)
    for name in ("safety:statement_issue", "safety:statement_drop"):
        assert page(olive, name, waiting.pk).status_code == 403


def test_what_changed_is_told_weighty_first(issued, booked, oscar, page, now):
    deeper(booked, oscar, now)
    second = issue(booked, oscar, now)
    response = page(oscar, "safety:statement_changes", second.pk)
    assert "From version 1 to version 2" in text_of(response)
    assert any("8 m along" in one.says for one in response.context["worded"])


def test_a_stale_statement_says_why_and_shows_what_is_different(
    issued, booked, oscar, page, now
):
    deeper(booked, oscar, now)
    words = text_of(page(oscar, "safety:statement_detail", issued.pk))
    assert "The job changed since this was issued: dimensions" in words
    response = page(oscar, "safety:statement_changes", issued.pk, query="?to=plan")
    assert response.context["worded"]


def test_how_long_it_is_kept_is_said_with_its_source(issued, oscar, page):
    words = text_of(page(oscar, "safety:statement_detail", issued.pk))
    assert "Until the work is completed" in words
    assert "reg 303(1)" in words
    assert "2 years from the incident" in words


def test_the_first_version_has_nothing_to_compare_with(issued, oscar, page):
    words = text_of(page(oscar, "safety:statement_changes", issued.pk))
    assert "first version" in words


def test_nobody_else_hears_of_a_statement(issued, lou, gus, page):
    for person in (lou, gus):
        for name in (
            "safety:statement_detail",
            "safety:statement_changes",
            "safety:statement_pdf",
        ):
            assert page(person, name, issued.pk).status_code == 404
    assert not Document.objects.exists()
