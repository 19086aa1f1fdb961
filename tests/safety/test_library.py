"""The firm's own hazard library: edits, files that go out and come in, and updates."""

from dataclasses import replace
from datetime import timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from jobs.domain.refusals import Refused, Stale
from jobs.domain.yaml_lines import LibraryError
from jobs.library import text_digest
from jobs.models import LedgerEntry, LibraryText
from jobs.services.library import edit_text, load_shipped
from safety.domain.hierarchy import Level
from safety.domain.library_bundle import bundled, unbundled
from safety.domain.merge import Side
from safety.models import RulesRevision
from safety.queries.library import (
    firm_library,
    hazard_digest,
    hazard_rows,
    standing,
    waiting_update,
)
from safety.queries.library_intake import look_at
from safety.queries.rules import rules_at
from safety.queries.staleness import out_of_date
from safety.services.library import (
    add_hazard,
    bring_in,
    edit_hazard,
    switch_hazard,
    take_update,
)
from tests.safety.conftest import issue, plan_now

pytestmark = pytest.mark.usefixtures("library", "morning")
KEY = "fall_from_ladder"


def hazard(key=KEY):
    return firm_library().hazards.by_key()[key]


def edit(actor, at, key=KEY, **changes):
    old = hazard(key)
    edit_hazard(
        hazard=replace(old, **changes),
        seen=hazard_digest(old),
        does="changed",
        actor=actor,
        at=at,
    )


def switch(actor, at, off, key=KEY):
    seen = hazard_digest(hazard(key))
    switch_hazard(key=key, off=off, seen=seen, actor=actor, at=at)


def waiting():
    update = waiting_update(firm_library())
    assert update is not None
    return update


def own(**changes):
    return replace(hazard(), **{"key": "own_bees", "theme": "people"} | changes)


def with_own_controls(found):
    named = (replace(c, key=f"own_{c.key}") for c in found.controls)
    return replace(found, controls=tuple(named))


def shipped_before(key, old, new):
    """Have the firm's file ``key`` made from an older shipped text."""
    row = LibraryText.objects.get(kind="hazards", key=key)
    assert old in row.text
    text = row.text.replace(old, new, 1)
    row.text = row.shipped_text = text
    row.digest = row.shipped_digest = text_digest(text)
    row.save()


def test_an_edit_changes_one_hazard_and_no_other_line(oscar, now):
    before = firm_library().texts["falls"]
    edit(oscar, now, harm="A broken wrist.")
    after = firm_library().texts["falls"]
    assert hazard().harm == "A broken wrist."
    gone = [line for line in before.splitlines() if line not in after.splitlines()]
    assert not [line for line in gone if line.lstrip().startswith("#")]
    assert standing(hazard(), firm_library()) == "changed"


def test_an_edit_is_kept_as_a_revision_and_in_the_ledger(oscar, now):
    edit(oscar, now, harm="A broken wrist.")
    entry = LedgerEntry.objects.get(verb="firm:library:changed")
    assert f'"hazard":"{KEY}"' in entry.payload
    assert entry.actor == oscar
    assert (
        "A broken wrist."
        in RulesRevision.objects.latest("at").texts["hazards"]["falls"]
    )


def test_an_edit_counts_from_its_moment_on(oscar, now, before, firm):
    edit(oscar, before, harm="A broken wrist.")
    edit(oscar, now, harm="A broken arm.")
    earlier = rules_at(before, firm).book("au-nsw").library.by_key()
    assert earlier[KEY].harm == "A broken wrist."


def test_an_edit_makes_statements_stale_that_have_the_hazard(
    job, oscar, before, now, firm
):
    statement = issue(job, oscar, before)
    assert not out_of_date({job.pk: statement}, now, firm)
    edit(oscar, now, harm="A broken wrist.")
    later = now + timedelta(minutes=1)
    changed = out_of_date({job.pk: statement}, later, firm)
    assert "hazard library" in changed[job.pk].cause
    assert not out_of_date({job.pk: statement}, now - timedelta(minutes=1), firm)


def test_an_edit_of_a_hazard_that_is_in_no_statement_makes_none_stale(
    job, oscar, before, now, firm
):
    statement = issue(job, oscar, before)
    elsewhere = "fall_prescribed_controls"
    edit(oscar, now, key=elsewhere, harm="A person falls a long way.")
    later = now + timedelta(minutes=1)
    assert not out_of_date({job.pk: statement}, later, firm)


def test_two_people_do_not_overwrite_each_other(oscar, now):
    old = hazard()
    edit(oscar, now, harm="A broken wrist.")
    with pytest.raises(Stale):
        edit_hazard(
            hazard=replace(old, harm="A broken arm."),
            seen=hazard_digest(old),
            does="changed",
            actor=oscar,
            at=now,
        )


def test_protective_equipment_alone_needs_a_written_reason(oscar, now):
    worn = tuple(replace(c, level=Level.PPE) for c in hazard().controls)
    with pytest.raises(Refused, match="only protective equipment"):
        edit(oscar, now, controls=worn)
    edit(oscar, now, controls=worn, no_higher_control="No other ladder fits.")
    assert hazard().no_higher_control == "No other ladder fits."


def test_a_control_of_a_key_that_is_taken_is_refused(oscar, now):
    doubled = (*hazard().controls, replace(hazard().controls[0]))
    with pytest.raises(Refused, match="there twice"):
        edit(oscar, now, controls=doubled)


def test_a_hazard_switched_off_is_in_no_plan_and_comes_back(job, oscar, now):
    def lines():
        return [one for one in plan_now(job, now).plan.lines if one.hazard == KEY]

    assert lines()
    switch(oscar, now, "We own no ladder.")
    assert not lines()
    assert standing(hazard(), firm_library()) == "off"
    switch(oscar, now, "")
    assert lines()


def test_a_hazard_of_the_firms_own_joins_every_plan_it_fits(job, oscar, now):
    add_hazard(hazard=with_own_controls(own()), actor=oscar, at=now)
    found = [one for one in plan_now(job, now).plan.lines if one.hazard == "own_bees"]
    assert found
    assert standing(hazard("own_bees"), firm_library()) == "own"


def test_a_hazard_of_the_firms_own_cannot_take_a_shipped_key(oscar, now):
    with pytest.raises(Refused, match="own_"):
        add_hazard(hazard=own(key="bees"), actor=oscar, at=now)


def test_the_list_is_filtered_by_file_standing_and_words(oscar, now):
    switch(oscar, now, "We own no ladder.")
    library = firm_library()
    assert [row.hazard.key for row in hazard_rows(library, state="off")] == [KEY]
    assert {row.theme for row in hazard_rows(library, theme="falls")} == {"falls"}
    assert KEY in {row.hazard.key for row in hazard_rows(library, words="LADDER")}


def test_what_goes_out_comes_in_unchanged(oscar, now):
    switch(oscar, now, "We own no ladder.")
    library = firm_library()
    intake = look_at(bundled(library.texts, "ours"), "ours.yaml", library)
    assert not intake.faults
    assert intake.texts == library.texts
    assert not intake.changes(library)


def test_a_file_that_comes_in_replaces_the_library(oscar, now):
    library = firm_library()
    text = bundled(library.texts).replace("Falling with or from a ladder", "Ladders")
    intake = look_at(text, "ours.yaml", library)
    (change,) = intake.changes(library)
    assert change.spot.part == "name"
    bring_in(intake=intake, seen=library.digest, actor=oscar, at=now)
    assert hazard().name.text == "Ladders"


@pytest.mark.parametrize(
    ("old", "new", "says"),
    [
        ("who: site_lead", "who: nobody", 'no who "nobody"'),
        ("- key: fall_from_ladder", "- key: ladders", "begin with “own_”"),
        ("- key: fall_from_ladder", "- key: own_ladders", "It was shipped"),
        ("--- # falls.yaml", "--- # dust.yaml", "“dust.yaml” is there twice"),
    ],
)
def test_a_mistake_in_a_file_names_its_line_and_nothing_comes_in(
    oscar, now, old, new, says
):
    library = firm_library()
    text = bundled(library.texts).replace(old, new, 1)
    intake = look_at(text, "ours.yaml", library)
    faults = [fault for fault in intake.faults if says in fault.says]
    lines = text.split("\n")
    at_fault = lines[faults[0].line - 1]
    assert new in at_fault or "shipped" in says
    with pytest.raises(Refused):
        bring_in(intake=intake, seen=library.digest, actor=oscar, at=now)
    assert firm_library().texts == library.texts


def test_a_library_that_changed_since_the_look_is_looked_at_again(oscar, now):
    library = firm_library()
    intake = look_at(bundled(library.texts), "ours.yaml", library)
    edit(oscar, now, harm="A broken wrist.")
    with pytest.raises(Refused, match="changed since"):
        bring_in(intake=intake, seen=library.digest, actor=oscar, at=now)


def test_nothing_waits_while_the_library_is_as_shipped():
    assert waiting_update(firm_library()) is None


def test_an_update_is_merged_with_the_firms_edits(oscar, now):
    shipped_before("falls", "Wipe the sheet with a dry glove", "Wipe the sheet")
    edit(oscar, now, harm="A broken wrist.")
    assert "hazards: falls" in load_shipped().kept
    update = waiting()
    merged = update.merged()
    assert not merged.open
    assert [change.spot.part for change in merged.taken] == ["check"]
    take_update(decided={}, seen=update.digest, actor=oscar, at=now)
    library = firm_library()
    assert "with a dry glove" in library.texts["falls"]
    assert hazard().harm == "A broken wrist."
    assert waiting_update(library) is None


def test_a_conflict_is_decided_by_somebody(oscar, now):
    harm = hazard().harm
    shipped_before("falls", harm, "It hurts.")
    edit(oscar, now, harm="A broken wrist.")
    update = waiting()
    (conflict,) = update.merged().open
    assert (conflict.ours, conflict.theirs) == ("A broken wrist.", harm)
    with pytest.raises(Refused, match="Decide"):
        take_update(decided={}, seen=update.digest, actor=oscar, at=now)
    decided = {conflict.spot: Side.THEIRS}
    take_update(decided=decided, seen=update.digest, actor=oscar, at=now)
    assert hazard().harm == harm
    assert not LibraryText.objects.get(kind="hazards", key="falls").is_edited


def test_an_update_decided_for_the_firm_keeps_its_word_for_good(oscar, now):
    shipped_before("falls", hazard().harm, "It hurts.")
    edit(oscar, now, harm="A broken wrist.")
    update = waiting()
    decided = {one.spot: Side.OURS for one in update.merged().open}
    take_update(decided=decided, seen=update.digest, actor=oscar, at=now)
    load_shipped()
    assert hazard().harm == "A broken wrist."
    assert waiting_update(firm_library()) is None


def test_a_shipped_text_that_does_not_fit_beside_an_edit_waits(oscar, now):
    """The hazard moves to the falls in the new release; the firm still has its file."""
    text = firm_library().texts["falls"]
    block = text[text.index(f"  - key: {KEY}") : text.index("  - key: fall_through")]
    shipped_before("falls", block, "")
    row = LibraryText.objects.get(kind="hazards", key="weather")
    edit_text(text=row, new=f"{row.text.rstrip()}\n{block}", actor=oscar, at=now)
    assert "hazards: falls" in load_shipped().kept
    update = waiting()
    decided = {one.spot: Side.OURS for one in update.merged().open}
    assert [spot.part for spot in decided] == ["theme"]
    take_update(decided=decided, seen=update.digest, actor=oscar, at=now)
    library = firm_library()
    assert hazard().theme == "weather", "the firm moved it there"
    assert f"- key: {KEY}" in library.texts["weather"]
    assert not load_shipped().updated


def test_a_library_goes_out_and_comes_in_letter_by_letter():
    texts = firm_library().texts
    assert {k: part.text for k, part in unbundled(bundled(texts), "f").items()} == texts


FILES = st.dictionaries(
    st.from_regex(r"[a-z][a-z0-9_]{0,6}", fullmatch=True),
    st.text(st.characters(codec="utf-8")).filter(lambda text: "---" not in text),
    min_size=1,
)


@given(FILES)
def test_any_texts_go_out_and_come_in(texts):
    whole = bundled(texts, "for people")
    found = {key: part.text for key, part in unbundled(whole, "f").items()}
    ended = {k: t if not t or t.endswith("\n") else f"{t}\n" for k, t in texts.items()}
    assert found == ended


@pytest.mark.parametrize(
    ("text", "line"), [("", 1), ("# only words\n", 1), ("# a\ntheme: x\n", 2)]
)
def test_a_text_that_is_in_no_file_is_refused(text, line):
    with pytest.raises(LibraryError) as caught:
        unbundled(text, "ours.yaml")
    (fault,) = caught.value.faults
    assert fault.line == line
