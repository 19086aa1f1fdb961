"""The owner decides how risk is rated: a matrix there is, or one of the firm's own."""

from datetime import timedelta

import pytest

from jobs.domain.roles import Role
from jobs.models import LedgerEntry
from jobs.queries import the_firm
from safety.domain.obligations import STATEMENT_MISSING, STATEMENT_STALE
from safety.domain.overrides import Action
from safety.domain.own_matrix import OWN, matrix_text, read_matrix
from safety.domain.risk import LOWEST
from safety.holds import statement_holds
from safety.library import firm_matrix, risk_methods, rules_now
from safety.models import RulesRevision
from safety.queries.blockers import blockers
from safety.queries.plans import draft
from safety.queries.rules import rules_at
from safety.services.plan_edits import edit_plan
from safety.services.rules import keep_rules
from tests.safety.conftest import text_of
from tests.sent_form import own_form

pytestmark = pytest.mark.usefixtures("library", "morning")
CHOOSE, DRAW = "safety:risk_method", "safety:risk_matrix"


@pytest.fixture
def send(olive, page):
    """Open a form of the owner's, type something over it, and send it."""

    def fill(address, **typed):
        opened = page(olive, address)
        form = own_form(opened.text, opened.request["PATH_INFO"])
        assert form is not None
        return page(olive, address, data={**form.values(), **typed})

    return fill


def test_a_matrix_in_use_is_shown_with_its_source_and_that_no_law_asks_for_it(
    olive, page
):
    words = text_of(page(olive, CHOOSE))
    assert "No law asks for a risk score" in words
    assert "Medium (we work up to here)" in words
    assert "common practice" in words


def test_the_owner_lowers_the_line_and_the_plan_is_held(send, job, now):
    assert blockers(job, draft(job, now, the_firm())) == []
    assert send(CHOOSE, method="training_5x5/L").status_code == 302
    held = blockers(job, draft(job, now, the_firm()))
    assert held
    assert all("the firm works up to Low" in reason for reason in held)


def test_a_statement_above_the_new_line_is_a_hold(send, issued, now):
    assert not [*statement_holds([issued.job], now)]
    send(CHOOSE, method="training_5x5/L")
    (hold,) = statement_holds([issued.job], now + timedelta(minutes=1))
    assert hold.rule == STATEMENT_STALE
    assert hold.stops_work()
    assert_names_the_line(hold)


def assert_names_the_line(hold):
    """Whose line it is, where it lies, and both ways to clear it."""
    assert "is still Medium" in hold.says
    assert "The firm works up to Low: a line that the owner draws, not the law" in (
        hold.says
    )
    assert "add a stronger control to that line of the hazard plan" in (
        hold.clear_by_doing
    )
    assert "the owner moves the firm's line under “How we rate risk”" in (
        hold.clear_by_doing
    )
    assert hold.cleared_by == {Role.OFFICE, Role.OWNER}


def test_a_plan_above_the_line_names_it_before_there_is_a_statement(
    send, job, before, now
):
    keep_rules(firm=the_firm(), actor=None, at=before)
    (hold,) = statement_holds([job], now)
    assert "The firm works up to" not in hold.says
    assert hold.cleared_by == {Role.OFFICE}
    send(CHOOSE, method="training_5x5/L")
    (hold,) = statement_holds([job], now + timedelta(minutes=1))
    assert hold.rule == STATEMENT_MISSING
    assert_names_the_line(hold)
    (hold,) = statement_holds([job], now - timedelta(minutes=1))  # the line of then
    assert "The firm works up to" not in hold.says


def test_a_line_lowered_by_the_reviewer_is_no_longer_named(send, job, oscar, now):
    send(CHOOSE, method="training_5x5/L")
    later = now + timedelta(minutes=1)
    found = draft(job, later, the_firm())
    assert found is not None
    for line in found.plan.lines:
        if not found.matrix.tolerates(line.residual):
            edit_plan(
                job=job,
                does=Action.REMOVE,
                reason="Done by a licensed firm under its own plan.",
                line_key=line.key,
                changes={},
                actor=oscar,
                at=later,
            )
    (hold,) = statement_holds([job], later)
    assert "The firm works up to" not in hold.says


def test_a_matrix_of_the_firm_s_own_is_rated_with_at_once(send, job, now):
    typed = {"name": "Ours", "grade_1": "Green, go", "cell_1_4": 1}
    assert send(DRAW, **typed).status_code == 302
    matrix = firm_matrix(the_firm())
    assert (matrix.key, matrix.name) == (OWN, "Ours")
    assert matrix.grade(matrix.rate(1, 4)).name == "Green, go"
    found = draft(job, now, the_firm())
    assert found is not None
    assert found.plan.matrix == OWN
    assert matrix.source.basis == "firm's decision"


def test_what_was_not_typed_over_is_as_in_the_matrix_before(send):
    before = firm_matrix(the_firm())
    send(DRAW)
    after = firm_matrix(the_firm())
    assert after.likelihoods == before.likelihoods
    for likelihood in range(LOWEST, 6):
        for harm in range(LOWEST, 6):
            old, new = before.rate(likelihood, harm), after.rate(likelihood, harm)
            assert (old.rank, before.tolerates(old)) == (
                new.rank,
                after.tolerates(new),
            )


@pytest.mark.parametrize(
    ("typed", "says"),
    [
        ({"cell_5_5": 1}, "may not get a lower grade"),
        ({"grade_3": ""}, "without a gap"),
        ({"cell_5_5": 5}, "Grade 5 has no name"),
        ({"likelihood_2": ""}, "Likelihood 2: Fill this in."),
    ],
)
def test_a_matrix_that_makes_no_sense_is_refused(send, typed, says):
    answer = send(DRAW, **typed)
    assert answer.status_code == 422
    assert says in text_of(answer)
    assert the_firm().risk_own_matrix == ""


def test_grades_of_another_matrix_are_refused(send):
    assert send(CHOOSE, method="as4360_1999/VH").status_code == 422


def test_somebody_else_s_change_is_not_overwritten(send):
    send(CHOOSE, method="as4360_1999/M")
    assert send(CHOOSE, version=1, method="training_5x5/M").status_code == 422
    assert the_firm().risk_matrix == "as4360_1999"


def test_a_past_day_is_judged_by_the_matrix_of_that_day(send, before, now):
    send(DRAW, name="Ours")
    send(CHOOSE, method="as4360_1999/M")
    first = RulesRevision.objects.order_by("at", "pk")[0]
    assert first.texts["own_matrix"]
    assert rules_at(before, the_firm()).book("au-nsw").risk.matrix.name == "Ours"
    assert rules_now(the_firm()).book("au-nsw").risk.matrix.key == "as4360_1999"


def test_each_change_is_in_the_ledger(send):
    send(DRAW)
    verbs = [*LedgerEntry.objects.values_list("verb", flat=True)]
    assert {"firm:firm:changed", "safety:rules:changed"} <= set(verbs)


@pytest.mark.parametrize("key", ["training_5x5", "as4360_1999"])
def test_a_matrix_reads_as_it_was_written(key):
    matrix = risk_methods().by_key[key].matrix
    again = read_matrix(matrix_text(matrix))
    assert again.cells == matrix.cells
    assert again.grades == matrix.grades


def test_nobody_else_may(page, oscar, sal, cam):
    for person in (oscar, sal, cam):
        assert page(person, CHOOSE).status_code == 403
        assert page(person, DRAW).status_code == 403
