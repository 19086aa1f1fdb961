"""The pages of the hazard library: what the office reads, types and gets told."""

from datetime import timedelta

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.db import connection
from django.test.utils import CaptureQueriesContext

from safety.queries.library import firm_library
from safety.queries.rules import rules_at
from safety.services.library import add_hazard
from tests.safety.conftest import text_of
from tests.safety.test_library import (
    KEY,
    edit,
    hazard,
    own,
    shipped_before,
    switch,
    with_own_controls,
)
from tests.sent_form import own_form

pytestmark = pytest.mark.usefixtures("library", "morning")
CONTROL = "ladder_steps_only"


def opened_form(opened):
    """What a browser would send from a page."""
    form = own_form(opened.text, opened.request["PATH_INFO"])
    assert form is not None
    return form.values()


@pytest.fixture
def send(oscar, page):
    """Open a form of the library, type something over it, and send it."""

    def fill(address, *args, **typed):
        values = opened_form(page(oscar, address, *args))
        return page(oscar, address, *args, data={**values, **typed})

    return fill


def upload(text, name="ours.yaml"):
    return SimpleUploadedFile(name, text.encode())


def test_the_list_says_what_there_is_and_how_it_stands(oscar, page, now):
    switch(oscar, now, "We own no ladder.")
    words = text_of(page(oscar, "safety:hazard_list"))
    assert f"these {len(firm_library().hazards.hazards)} hazards" in words
    filtered = page(oscar, "safety:hazard_list", query="?state=off")
    assert "Falling with or from a ladder" in text_of(filtered)
    assert len(filtered.context["page"].object_list) == 1


def test_the_list_asks_the_database_a_fixed_number_of_times(oscar, page):
    page(oscar, "safety:hazard_list")
    with CaptureQueriesContext(connection) as found:
        page(oscar, "safety:hazard_list")
    assert len([q for q in found if "librarytext" in q["sql"]]) == 1


@pytest.mark.parametrize("row", ["falls", "dust", "weather"])
def test_every_hazard_of_a_file_reads_in_plain_words(oscar, page, row):
    for one in firm_library().hazards.hazards:
        if one.theme == row:
            words = text_of(page(oscar, "safety:hazard_detail", one.key))
            assert "When it is there" in words
            assert "{" not in words


def test_a_form_sent_as_it_was_opened_changes_nothing(send):
    before = {one.key: one for one in firm_library().hazards.hazards}
    for key in (KEY, "fall_prescribed_controls", "fall_through_house_roof"):
        assert send("safety:hazard_edit", key).status_code == 302
    assert {one.key: one for one in firm_library().hazards.hazards} == before


def test_a_control_sent_as_it_was_opened_changes_nothing(send):
    before = hazard()
    for control in before.controls:
        sent = send("safety:control_edit", KEY, control.key)
        assert sent.status_code == 302
    assert hazard() == before


def test_the_office_changes_words_scores_steps_and_conditions(send):
    sent = send(
        "safety:hazard_edit",
        KEY,
        harm="A broken wrist.",
        likelihood="5",
        kinds=["lay_sheets"],
        **{"why-0-says": "The ladder stands on {site.ground}: look twice."},
    )
    assert sent.status_code == 302
    changed = hazard()
    assert (changed.harm, changed.likelihood) == ("A broken wrist.", 5)
    assert len(changed.condition.parts) == 2
    assert changed.reasons[0].says.text.endswith("look twice.")


@pytest.mark.parametrize(
    ("field", "typed", "says"),
    [
        ("when-text", "all:\n  - tool: [laddder]", "Line 2: there is no tool"),
        ("when-text", "{fact: task.work_height_m, less_than: 2}", "turn the test"),
        ("when-text", "__import__('os')", "a mapping"),
        ("why-0-says", "The ladder is {site.grund}.", "there is no fact"),
        ("why-0-says", " ", "Write the sentence, or take it away"),
        ("worse-0-only-text", "{fact: task.work_height_m, at_most: 2}", "turn the"),
        ("source", "hearsay", "no basis"),
    ],
)
def test_a_mistake_is_named_with_its_place_and_what_was_typed_stays(
    send, field, typed, says
):
    as_text = {field.replace("text", "mode"): "text"} if "text" in field else {}
    refused = send("safety:hazard_edit", KEY, **{field: typed}, **as_text)
    assert refused.status_code == 422
    assert says in text_of(refused)
    assert opened_form(refused)[field] == [typed]


def test_a_hazard_must_be_there_somewhere(send):
    refused = send("safety:hazard_edit", KEY, kinds=[], **{"when-count": "0"})
    assert refused.status_code == 422
    assert "Tick the steps it is in" in text_of(refused)


def test_somebody_elses_edit_is_not_overwritten(oscar, page, now):
    values = opened_form(page(oscar, "safety:hazard_edit", KEY))
    edit(oscar, now, harm="A broken wrist.")
    refused = page(oscar, "safety:hazard_edit", KEY, data=values)
    assert refused.status_code == 422
    assert "Someone changed this" in text_of(refused)
    assert hazard().harm == "A broken wrist."


def test_the_office_adds_a_hazard_with_its_first_control(send):
    sent = send(
        "safety:hazard_add",
        file="people",
        name="Bees in the eave",
        harm="A sting.",
        kinds=["remove_existing"],
        likelihood="3",
        consequence="2",
        **{
            "why-0-says": "The eave is opened.",
            "control-text": "Have the nest taken away first.",
            "control-level": "eliminate",
            "control-less_likely": "2",
            "control-check": "No bees for an hour.",
        },
    )
    assert sent.status_code == 302
    added = hazard("own_bees_in_the_eave")
    assert added.controls[0].effect.likelihood == 2
    assert added.theme == "people"


def test_a_hazard_of_our_own_is_taken_out_and_a_shipped_one_is_not(
    oscar, page, now, before, firm
):
    add_hazard(hazard=with_own_controls(own()), actor=oscar, at=before)
    assert "Take it out" in text_of(page(oscar, "safety:hazard_detail", "own_bees"))
    assert "Take this hazard out" in text_of(
        page(oscar, "safety:hazard_drop", "own_bees")
    )
    page(oscar, "safety:hazard_drop", "own_bees", data={})
    assert "own_bees" not in firm_library().hazards.by_key()
    kept = rules_at(now - timedelta(minutes=1), firm).book("au-nsw").library
    assert "own_bees" in kept.by_key()
    page(oscar, "safety:hazard_drop", KEY, data={})
    assert KEY in firm_library().hazards.by_key()


def test_protective_equipment_alone_is_refused_on_the_form(send):
    typed = {
        "file": "people",
        "name": "Bees",
        "harm": "A sting.",
        "kinds": ["set_out"],
        "why-0-says": "Flowers.",
        "likelihood": "3",
        "consequence": "2",
        "control-text": "Wear a veil.",
        "control-level": "ppe",
        "control-check": "Looked.",
    }
    refused = send("safety:hazard_add", **typed)
    assert refused.status_code == 422
    assert "only protective equipment" in text_of(refused)
    sent = send("safety:hazard_add", **typed, no_higher_control="Bees fly anywhere.")
    assert sent.status_code == 302


def test_the_office_adds_changes_and_takes_out_a_control(oscar, page, send):
    typed = {"text": "Hold it.", "check": "Looked."}
    assert send("safety:control_add", KEY, **typed).status_code == 422
    sent = send("safety:control_add", KEY, **typed, level="engineering")
    assert sent.status_code == 302
    send("safety:control_edit", KEY, "own_hold_it", check="Asked.")
    assert hazard().controls[-1].check == "Asked."
    page(oscar, "safety:control_drop", KEY, "own_hold_it", data={})
    assert "own_hold_it" not in [control.key for control in hazard().controls]


def test_a_hazard_is_switched_off_with_a_reason_and_on_again(oscar, page, send):
    assert send("safety:hazard_switch", KEY, reason="").status_code == 422
    assert send("safety:hazard_switch", KEY, reason="No ladders.").status_code == 302
    assert "No ladders." in text_of(page(oscar, "safety:hazard_detail", KEY))
    page(oscar, "safety:hazard_switch", KEY, data={})
    assert not hazard().off


def test_the_library_goes_out_and_comes_in_with_a_look_between(oscar, page):
    text = page(oscar, "safety:library_export").text
    same = page(oscar, "safety:library_import", data={"file": upload(text)})
    assert "says what the library says now" in text_of(same)
    new = text.replace("Falling with or from a ladder", "Ladders")
    look = page(oscar, "safety:library_import", data={"file": upload(new)})
    assert "Changed: 1" in text_of(look)
    assert hazard().name.text != "Ladders"
    signed = {"signed": look.context["signed"]}
    assert page(oscar, "safety:library_import", data=signed).status_code == 302
    assert hazard().name.text == "Ladders"


def test_a_file_with_mistakes_says_each_with_its_line(oscar, page):
    text = page(oscar, "safety:library_export").text
    bad = text.replace("who: crew", "who: nobody", 2)
    refused = page(oscar, "safety:library_import", data={"file": upload(bad)})
    assert refused.status_code == 422
    assert "2 things to put right" in text_of(refused)
    line = bad.split("\n").index(next(x for x in bad.split("\n") if "nobody" in x))
    assert str(line + 1) in text_of(refused)


@pytest.mark.parametrize("data", [b"\xff\xfe\x00", b""])
def test_a_file_that_is_no_text_is_refused(oscar, page, data):
    file = SimpleUploadedFile("ours.yaml", data)
    refused = page(oscar, "safety:library_import", data={"file": file})
    assert refused.status_code == 422


def test_a_signature_of_another_kind_is_refused(oscar, page):
    refused = page(oscar, "safety:library_import", data={"signed": "made up"})
    assert "took too long" in text_of(refused)


def test_conflicts_stand_side_by_side_and_are_decided_one_by_one(
    oscar, page, send, now
):
    harm = hazard().harm
    shipped_before("falls", harm, "It hurts.")
    edit(oscar, now, harm="A broken wrist.")
    assert "A newer library was shipped" in text_of(page(oscar, "safety:hazard_list"))
    words = text_of(page(oscar, "safety:library_update"))
    for said in ("It hurts.", "A broken wrist.", harm):
        assert said in words
    assert send("safety:library_update").status_code == 422
    name = f"{KEY}..harm"
    assert send("safety:library_update", **{name: "theirs"}).status_code == 302
    assert hazard().harm == harm
    assert "Nothing waits" in text_of(page(oscar, "safety:library_update"))
