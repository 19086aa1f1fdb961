"""Conditions filled in as rows: what the office chooses, gets told, and gets back."""

from dataclasses import replace
from functools import partial

import pytest
from django.db import connection
from django.http import QueryDict
from django.test.utils import CaptureQueriesContext
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from safety.domain.condition_rows import Group, Join, Row, Sheet, condition_of
from safety.domain.conditions import Both, Not, Op, Rule, Test
from safety.domain.library import Scope
from safety.domain.traces import Joint
from safety.forms.condition_data import Typed, sent_as, typed_from
from safety.forms.controls import ControlForm
from safety.forms.library import HazardForm
from safety.library import firm_matrix
from safety.models import RulesRevision
from safety.queries.condition_choices import asked_of
from safety.queries.library import firm_library
from safety.queries.reach import reach
from safety.queries.rules import rules_at
from tests.safety.conftest import plan_now, text_of
from tests.safety.domain.test_condition_rows import sheets
from tests.safety.domain.test_library_writer import conditions
from tests.safety.test_library import KEY, edit, hazard
from tests.sent_form import forms_in, own_form

pytestmark = pytest.mark.usefixtures("library", "morning")
HEIGHT = Row("task.work_height_m", "more_than", ("2",))
HIGH = Test("task.work_height_m", Op.MORE_THAN, 2.0)
GROUND = Test("site.ground", Op.IN, frozenset({"sloping", "soft_soil"}))
SLOPING = Row("site.ground", "in", ("soft_soil", "sloping"))


def values_of(response):
    """What a browser would send from a page."""
    form = own_form(response.text, response.request["PATH_INFO"])
    assert form is not None
    return form.values()


def with_rows(values, name, *items, join=Join.ALL):
    """The same form with other rows in one condition."""
    kept = {k: v for k, v in values.items() if not k.startswith(f"{name}-")}
    return kept | sent_as(name, Typed(Sheet(join, items)))


@pytest.fixture
def opened(oscar, page):
    """A page of the library as it is opened."""

    def look(address="safety:hazard_edit", *args):
        return values_of(page(oscar, address, *(args or (KEY,))))

    return look


@pytest.fixture
def press(oscar, page):
    """Press a button of the form, without a script."""

    def send(values, button, address="safety:hazard_edit", *args):
        data = {**values, "do": button}
        return page(oscar, address, *(args or (KEY,)), data=data)

    return send


def as_sent(values):
    """What a browser sends, as a view gets it."""
    sent = QueryDict(mutable=True)
    for name, several in values.items():
        sent.setlist(name, several)
    return sent


def sent_again(form):
    """What a browser sends from a form that it shows, as the form reads it."""
    shown = f'<form method="post">{form}</form>'
    (found,) = forms_in(shown)
    return as_sent(found.values())


def test_every_shipped_hazard_sent_as_it_was_opened_stays_the_same(firm):
    for one in firm_library().hazards.hazards:
        make = partial(HazardForm, matrix=firm_matrix(firm), scope=one.scope)
        form = make(sent_again(make(initial=HazardForm.starting(one))))
        assert form.is_valid(), (one.key, form.errors)
        assert replace(one, **form.parts()) == one


def test_every_shipped_control_sent_as_it_was_opened_stays_the_same():
    for hazard_ in firm_library().hazards.hazards:
        for one in hazard_.controls:
            start = ControlForm.starting(one)
            opened = ControlForm(initial=start, scope=hazard_.scope)
            form = ControlForm(sent_again(opened), scope=hazard_.scope)
            assert form.is_valid(), (one.key, form.errors)
            assert form.control(one.key) == one


@settings(
    max_examples=40,
    deadline=None,
    suppress_health_check=[HealthCheck.function_scoped_fixture],
)
@given(st.data())
def test_any_condition_shown_in_a_form_comes_back_from_it(data):
    scope = data.draw(st.sampled_from(Scope))
    condition = data.draw(conditions(scope) | sheets(asked_of(scope)))
    if isinstance(condition, Sheet):
        condition = condition_of(condition, asked_of(scope))
    opened = ControlForm(initial={"only_if": condition}, scope=scope)
    form = ControlForm(sent_again(opened), scope=scope)
    form.is_valid()
    assert "only_if" not in form.errors
    assert form.cleaned_data["only_if"] == condition


def test_rows_and_a_group_become_the_condition_of_the_hazard(oscar, page, opened):
    group = Group(Join.ANY, (SLOPING, Row("site.occupied", "is", ("yes",))))
    values = with_rows(opened(), "when", HEIGHT, group)
    sent = page(oscar, "safety:hazard_edit", KEY, data=values)
    assert sent.status_code == 302
    assert hazard().condition == Both(
        Joint.ALL,
        (HIGH, Both(Joint.ANY, (GROUND, Test("site.occupied", Op.IS, wanted=True)))),
    )


def test_rows_serve_controls_reasons_and_what_makes_it_worse(oscar, page, opened):
    rule = Row("@rule", "not_is", ("falls.duty",))
    values = opened("safety:control_edit", KEY, "ladder_steps_only")
    place = (KEY, "ladder_steps_only")
    page(
        oscar,
        "safety:control_edit",
        *place,
        data=with_rows(values, "only_if", rule),
    )
    control = next(c for c in hazard().controls if c.key == "ladder_steps_only")
    assert control.condition == Not(Rule("falls.duty"))
    values = with_rows(opened(), "why-0-only", SLOPING)
    values = with_rows(values, "worse-0-only", HEIGHT) | {"worse-0-likelihood": "5"}
    page(oscar, "safety:hazard_edit", KEY, data=values)
    changed = hazard()
    assert changed.reasons[0].condition == GROUND
    assert changed.raises[0].likelihood == 5
    assert changed.raises[0].condition == HIGH


def test_a_change_is_a_revision_and_past_days_keep_their_rules(
    oscar, page, opened, now, before, firm
):
    edit(oscar, before, harm="A broken wrist.")
    kept = RulesRevision.objects.count()
    page(oscar, "safety:hazard_edit", KEY, data=with_rows(opened(), "when", HEIGHT))
    assert RulesRevision.objects.count() > kept
    old = rules_at(before, firm).book("au-nsw").library.by_key()[KEY]
    assert old.condition == Test("task.tools", Op.HAS, frozenset({"ladder"}))


@pytest.mark.parametrize(
    ("row", "says"),
    [
        (Row("task.work_height_m", "more_than", ("high",)), "such as 4.2"),
        (Row("task.work_height_m", "less_than", ("2",)), "the other way round"),
        (Row("site.ground", "in"), "Tick at least one"),
        (Row(), "Choose what this row asks about"),
    ],
)
def test_a_mistake_stands_at_its_row_with_what_was_typed(
    oscar, page, opened, row, says
):
    values = with_rows(opened(), "when", SLOPING, row)
    refused = page(oscar, "safety:hazard_edit", KEY, data=values)
    assert refused.status_code == 422
    at_row = refused.text.split('id="when-1-error"', 1)[1].split("</p>", 1)[0]
    assert says in at_row
    assert 'id="when-0-error"' not in refused.text
    again = typed_from(as_sent(values_of(refused)), "when", asked_of(Scope.TASK))
    assert again.sheet == Sheet(Join.ALL, (SLOPING, row))


def test_a_row_comes_and_goes_without_a_script_and_nothing_typed_is_lost(opened, press):
    values = with_rows(opened(), "when", SLOPING) | {"harm": ["Half a sen"]}
    more = press(values, "when add")
    assert more.status_code == 200
    assert 'class="error"' not in more.text
    values = values_of(more)
    assert values["harm"] == ["Half a sen"]
    assert values["when-count"] == ["2"]
    grouped = values_of(press(values, "when group"))
    assert grouped["when-2-what"] == ["group"]
    inside = values_of(press(grouped, "when add 2"))
    assert inside["when-2-count"] == ["2"]
    fewer = values_of(press(values_of(press(inside, "when drop 2 0")), "when drop 1"))
    assert fewer["when-count"] == ["2"]
    assert fewer["when-1-count"] == ["1"]
    assert fewer["when-0-value"] == ["soft_soil", "sloping"]


def test_a_fact_that_was_chosen_brings_what_can_be_asked_of_it(opened, press):
    values = with_rows(opened(), "when", Row())
    went_on = press(values | {"when-0-fact": "site.building_year"}, "when look 0")
    row = went_on.text.split('id="when-0"', 1)[1]
    for words in ("is less than", "is not known yet", "While nobody knows"):
        assert words in row
    assert "has any of" not in row
    assert "Less than 1990".casefold() not in row
    past = values_of(went_on) | {"when-0-ask": ["past"]}
    limits = press(past, "when refit 0").text.split('id="when-0"', 1)[1]
    assert "Asbestos, presumed before: less than" in limits
    assert "Falls, statement height" not in limits


def test_the_condition_is_read_back_with_the_open_jobs_it_is_in(
    opened, press, booked, now
):
    plan = plan_now(booked, now).plan
    steps = [line for line in plan.lines if line.hazard == "fall_from_height"]
    row = Row("task.work_height_m", "more_than", ("0.5",))
    words = text_of(press(with_rows(opened(), "when", row), "when check"))
    assert "height worked at: more than 0.5 m" in words
    assert f"in {len(steps)} steps of 1 of 1 open job" in words
    far = Row("task.work_height_m", "more_than", ("90",))
    words = text_of(press(with_rows(opened(), "when", far), "when check"))
    assert "in none of the 1 open job" in words


def test_a_script_gets_only_the_part_that_changed(oscar, client, opened):
    client.force_login(oscar)
    values = with_rows(opened(), "when", HEIGHT)
    url = f"/hazards/{KEY}/edit/"
    added = client.post(
        url, values | {"do": "when add"}, headers={"HX-Request": "true"}
    )
    assert added.status_code == 200
    assert added.text.lstrip().startswith('<div class="asking" id="when-editor"')
    assert 'id="reading"' in added.text
    assert 'hx-swap-oob="true"' in added.text
    assert "<html" not in added.text
    check = values | {"do": "why-0-only check"}
    said = client.post(url, check, headers={"HX-Request": "true"}).text
    assert 'id="why-0-only-says"' in said
    lines = client.post(
        url, values | {"do": "why add-line"}, headers={"HX-Request": "true"}
    )
    assert lines.text.lstrip().startswith('<div class="saying" id="why-lines"')


def test_sentences_come_and_go_with_their_conditions(opened, press):
    values = with_rows(opened(), "why-1-only", SLOPING)
    count = int(values["why-count"][0])
    more = values_of(press(values, "why add-line"))
    assert more["why-count"] == [str(count + 1)]
    fewer = values_of(press(more, "why drop-line 0"))
    assert fewer["why-0-only-0-fact"] == ["site.ground"]


DEEP = Both(
    Joint.ANY,
    (
        Test("site.occupied", Op.IS, wanted=True),
        Not(
            Both(
                Joint.ALL,
                (
                    Test("job.gable", Op.IS, wanted=True),
                    Test("job.attached", Op.IS, wanted=True),
                ),
            )
        ),
    ),
)


def test_a_condition_too_deep_for_rows_stays_a_text_and_is_not_lost(
    oscar, page, opened, press, now
):
    edit(oscar, now, condition=DEEP)
    first = page(oscar, "safety:hazard_edit", KEY)
    assert "It stays as text" in text_of(first)
    assert "Not this" in text_of(first)
    assert page(oscar, "safety:hazard_edit", KEY, data=values_of(first)).status_code
    assert hazard().condition == DEEP
    still = press(values_of(first), "when rows")
    assert values_of(still)["when-text"] == values_of(first)["when-text"]
    assert "It stays as text" in text_of(still)


def test_rows_turn_into_text_and_back(opened, press):
    rows = (HEIGHT, Group(Join.NONE, (SLOPING,)))
    as_text = values_of(press(with_rows(opened(), "when", *rows), "when text"))
    assert as_text["when-mode"] == ["text"]
    assert "more_than: 2" in as_text["when-text"][0]
    back = values_of(press(as_text, "when rows"))
    assert typed_from(as_sent(back), "when", asked_of(Scope.TASK)).sheet.items == rows


@pytest.mark.parametrize(
    ("button", "name", "says"),
    [
        ("when text", "rows", "Put the rows right first"),
        ("when rows", "text", "Line 1"),
    ],
)
def test_what_is_wrong_cannot_be_turned_and_stays(opened, press, button, name, says):
    values = with_rows(opened(), "when", Row("task.work_height_m", "more_than", ("x",)))
    values |= {"when-mode": [name], "when-text": ["{fact: nothing}"]}
    stayed = press(values, button)
    assert says in text_of(stayed)
    assert values_of(stayed)["when-mode"] == [name]


def test_a_hazard_of_the_whole_job_is_not_asked_about_steps(oscar, page, press):
    address = "safety:hazard_add"
    values = values_of(page(oscar, address)) | {"scope": ["job"]}
    values = with_rows(values, "when", HEIGHT)
    refused = page(oscar, address, data=values)
    assert "This belongs to a step" in refused.text.split('id="when-0"', 1)[1]
    looked = page(oscar, address, data={**values, "do": "when refit 0"})
    assert "This step" in looked.text  # any work of this kind
    assert "Its lifts" not in looked.text.split('id="facts-title"')[0]


@pytest.mark.parametrize(
    "button", ["", "when", "when drop 99", "when add 0", "x y z", "when drop 0 0 0 ²"]
)
def test_a_button_that_no_form_has_breaks_nothing(opened, press, button):
    answer = press(with_rows(opened(), "when", HEIGHT), button)
    assert answer.status_code in {200, 302}


def test_reading_back_asks_the_database_as_often_for_many_jobs(
    opened, press, booked, make_job
):
    values = with_rows(opened(), "when", HEIGHT)

    def asked():
        with CaptureQueriesContext(connection) as found:
            words = text_of(press(values, "when check"))
        return len(found), words

    asked()
    few, _ = asked()
    for _ in range(3):
        make_job()
    many, words = asked()
    assert "of 4 open jobs" in words
    assert few == many


def test_a_large_firm_is_told_how_many_older_jobs_were_not_looked_at(
    job, make_job, now, firm
):
    newer = make_job()
    height = Test("job.max_work_height_m", Op.MORE_THAN, 0.5)
    found = reach(height, Scope.JOB, now, firm, most=1)
    assert (found.looked_at, found.left_out) == (1, 1)
    assert [one.job for one in found.jobs] == [newer]
    assert reach(height, Scope.JOB, now, firm, most=2).left_out == 0
