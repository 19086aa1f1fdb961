"""Review a plan, issue it, and give a version up."""

import pytest
from django.core.exceptions import PermissionDenied

from jobs.domain.dimensions import Dimensions
from jobs.domain.refusals import Refused
from jobs.models import Job, LedgerEntry
from jobs.services.jobs import close_job, edit_job, set_dimensions
from safety.domain.verbs import Verb
from safety.models import RulesRevision, Statement
from safety.services.statements import (
    drop_statement,
    issue_statement,
    review_statement,
)
from tests.safety.conftest import issue, plan_now, review

State = Statement.State


def test_review_freezes_the_plan_as_the_first_version(job, oscar, before):
    seen = plan_now(job, before)
    statement = review(job, oscar, before, note="Walked the site with Sal.")
    assert (statement.number, statement.state) == (1, State.REVIEWED)
    assert statement.digest == seen.digest
    assert statement.content["steps"] == seen.content["steps"]
    assert statement.content["print"] == {"Reviewed by": "Oscar Office"}
    assert statement.by_law  # the roof is above two metres


def test_review_keeps_the_rules_it_was_made_from(job, oscar, before):
    statement = review(job, oscar, before)
    kept = RulesRevision.objects.get()
    assert kept.digest == statement.rests_on["rules"]
    assert "falls" in kept.texts["hazards"]


def test_review_is_refused_when_the_plan_was_not_seen_as_it_is(job, oscar, before):
    with pytest.raises(Refused, match="changed after you opened it"):
        review_statement(job=job, seen_digest="0" * 64, note="", actor=oscar, at=before)


def test_review_is_refused_without_dimensions(make_job, oscar, before):
    bare = make_job(dims=None)
    with pytest.raises(Refused, match="dimensions are not set"):
        review_statement(job=bare, seen_digest="", note="", actor=oscar, at=before)


def test_review_is_refused_without_a_site_lead(make_job, oscar, before):
    leaderless = make_job(site_lead=None)
    with pytest.raises(Refused, match="Name a site lead"):
        review(leaderless, oscar, before)


def test_review_is_refused_on_a_closed_job(job, oscar, before):
    seen = plan_now(job, before)
    close_job(job=job, how=Job.Closed.CALLED_OFF, note="", actor=oscar, at=before)
    with pytest.raises(Refused, match="closed"):
        review_statement(
            job=job, seen_digest=seen.digest, note="", actor=oscar, at=before
        )


@pytest.mark.parametrize("who", ["sal", "cam", "olive", "gus"])
def test_only_the_office_reviews(job, before, who, request):
    person = request.getfixturevalue(who)
    with pytest.raises(PermissionDenied):
        review(job, person, before)


def test_issue_puts_the_version_in_force(job, oscar, before):
    statement = issue(job, oscar, before)
    statement.refresh_from_db()
    assert (statement.state, statement.issued_at) == (State.ISSUED, before)
    assert statement.issued_by == oscar


def test_issue_supersedes_the_version_before(issued, booked, oscar, now):
    deeper(booked, oscar, now)
    second = issue(booked, oscar, now)
    issued.refresh_from_db()
    assert (issued.state, issued.superseded_at) == (State.SUPERSEDED, now)
    assert second.number == 2


def deeper(job, actor, at):
    """Make the roof wider, so that there is more edge to fall from."""
    set_dimensions(
        job=job,
        version=job.dimensions.version,
        dimensions=Dimensions(8.0, 3.6, 3.0, 2.7),
        actor=actor,
        at=at,
    )


def test_issue_is_refused_when_the_plan_changed_after_review(job, oscar, before):
    statement = review(job, oscar, before)
    deeper(job, oscar, before)
    with pytest.raises(Refused, match="changed after version 1 was reviewed"):
        issue_statement(statement=statement, actor=oscar, at=before)


def test_issue_is_refused_twice(job, oscar, before):
    statement = issue(job, oscar, before)
    with pytest.raises(Refused, match="Only a reviewed version"):
        issue_statement(statement=statement, actor=oscar, at=before)


def test_issue_needs_the_right_role(job, oscar, sal, before):
    statement = review(job, oscar, before)
    with pytest.raises(PermissionDenied):
        issue_statement(statement=statement, actor=sal, at=before)


def test_reviewing_again_drops_the_version_that_waits(job, oscar, before):
    first = review(job, oscar, before)
    deeper(job, oscar, before)
    second = review(job, oscar, before)
    first.refresh_from_db()
    assert (first.state, second.number) == (State.DROPPED, 2)


def test_reviewing_what_is_in_force_already_is_refused(issued, booked, oscar, now):
    with pytest.raises(Refused, match="nothing new to review"):
        review(booked, oscar, now)


def test_a_new_site_lead_does_not_change_what_was_signed(
    issued, booked, oscar, lou, now
):
    edit_job(
        job=booked,
        version=booked.version,
        values={"site_lead": lou},
        actor=oscar,
        at=now,
    )
    booked.refresh_from_db()
    assert plan_now(booked, now).digest == issued.digest


def test_a_version_may_be_given_up_with_a_reason(job, oscar, before):
    statement = review(job, oscar, before)
    with pytest.raises(Refused, match="Say why"):
        drop_statement(statement=statement, reason=" ", actor=oscar, at=before)
    drop_statement(statement=statement, reason="Wrong house.", actor=oscar, at=before)
    statement.refresh_from_db()
    assert statement.state == State.DROPPED


def test_the_ledger_tells_of_review_and_issue(job, oscar, before):
    statement = issue(job, oscar, before)
    entries = LedgerEntry.objects.filter(chain=job.chain, verb__startswith="safety:")
    assert [entry.verb for entry in entries] == [
        Verb.STATEMENT_REVIEWED,
        Verb.STATEMENT_ISSUED,
    ]
    assert statement.digest in entries[1].payload
