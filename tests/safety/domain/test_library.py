"""The shipped hazard library, and mistakes in hazard files."""

import re
from collections import Counter

import pytest

from jobs.domain.holds import Basis
from jobs.domain.yaml_lines import LibraryError
from safety.domain.conditions import Both, Not, Test
from safety.domain.hierarchy import Level
from safety.domain.library_files import load_library
from tests.safety.domain.rules import (
    library,
    risk_methods,
    task_kinds,
    texts,
    words,
)

HAZARD = """\
theme: test
hazards:
  - key: falling
    name: Falling off
    harm: A broken leg.
    when: {fact: task.work_height_m, more_than: 1}
    why: The work is {task.work_height_m} up.
    likelihood: 3
    consequence: 4
    source: common practice
    controls:
      - key: rail
        text: Put up a rail.
        level: engineering
        effect: {likelihood: 2}
        who: site_lead
        when: task_start
        check: Rail on every side.
        source: firm's decision
"""


def read(text):
    return load_library({"h.yaml": text}, words())


def test_it_is_large_enough_to_matter():
    controls = [control.key for control in library().controls()]
    assert len(library().hazards) >= 45
    assert len(controls) == len(set(controls)) >= 130


def test_every_hazard_has_a_control_above_protective_equipment_or_says_why():
    for hazard in library().hazards:
        levels = {control.level for control in hazard.controls}
        assert levels - {Level.PPE} or hazard.no_higher_control, hazard.key


def test_nearly_every_hazard_has_a_control_above_ways_of_working():
    weak = {Level.PPE, Level.ADMINISTRATIVE}
    lacking = [
        hazard.key
        for hazard in library().hazards
        if {control.level for control in hazard.controls} <= weak
    ]
    assert lacking == []


def test_a_control_below_the_top_three_steps_is_never_the_only_one():
    for hazard in library().hazards:
        assert len(hazard.controls) >= 2, hazard.key


def test_no_control_claims_more_than_its_level_may():
    method = risk_methods().chosen()
    for control in library().controls():
        assert method.allowed(control.level, control.effect) == control.effect, (
            control.key
        )


def test_every_control_says_who_when_and_how_it_is_checked():
    for control in library().controls():
        assert control.text.text.endswith("."), control.key
        assert control.check.endswith("."), control.key
        assert not control.ask or control.ask.endswith("?"), control.key


def test_a_question_is_answered_yes_when_all_is_well():
    starts = re.compile(r"^(Is|Are|Has|Have|Do|Does|Can|Will|Was|Were|Would|If|Did)\b")
    for control in library().controls():
        assert not control.ask or starts.match(control.ask), control.ask


def test_legal_labels_come_from_a_pack_or_name_their_publication():
    refs = [c.source for c in library().controls()]
    refs += [hazard.source for hazard in library().hazards]
    for ref in refs:
        if ref.source.basis in (Basis.LAW, Basis.CODE):
            assert ref.source.publisher
        if ref.pack_key:
            assert ref.pack_key in words().pack_edges


def test_wind_limits_are_the_firm_s_decision_and_nobody_else_s():
    by_key = {control.key: control for control in library().controls()}
    for key in ("wind_meter_limit", "wind_forecast", "storm_down_early"):
        assert by_key[key].source.source.basis is Basis.FIRM


def test_hazards_name_every_kind_of_task():
    named: Counter[str] = Counter()
    for hazard in library().hazards:
        named.update(kinds_in(hazard.condition))
    assert task_kinds().keys() <= named.keys()


def kinds_in(condition):
    match condition:
        case Both(_, parts):
            return {kind for part in parts for kind in kinds_in(part)}
        case Not():
            return set()
        case Test("task.kind" | "job.task_kinds", _, wanted):
            return wanted
        case _:
            return set()


def test_keys_of_hazards_and_controls_are_plain_words():
    keys = [h.key for h in library().hazards] + [c.key for c in library().controls()]
    assert all(re.fullmatch(r"[a-z][a-z0-9_]+", key) for key in keys)


def test_a_small_file_reads():
    (hazard,) = read(HAZARD).hazards
    assert hazard.theme == "test"
    assert hazard.controls[0].level is Level.ENGINEERING


@pytest.mark.parametrize(
    ("old", "new", "line", "says"),
    [
        ("likelihood: 3", "likelihood: 6", 8, "a step from 1 to 5"),
        ("likelihood: 3", "likelyhood: 3", 8, 'mean "likelihood"'),
        ("    likelihood: 3\n", "", 3, '"likelihood" is missing'),
        ("level: engineering", "level: magic", 13, 'no level "magic"'),
        ("who: site_lead", "who: nobody", 15, 'no who "nobody"'),
        ("when: task_start", "when: later", 16, 'no moment "later"'),
        ("source: common practice", "source: hearsay", 10, 'no basis "hearsay"'),
        ("source: common practice", "source: {pack: falls.dutty}", 10, '"falls.duty"'),
        ("source: common practice", "source: {basis: law}", 10, "needs publisher"),
        ("{task.work_height_m}", "{task.hight}", 7, 'no fact "task.hight"'),
        (
            "{task.work_height_m}",
            "{pack:falls.nowhere}",
            7,
            'has a value "falls.nowhere"',
        ),
        ("The work is {task", "The work { is {task", 7, "a brace stands alone"),
        ("on every side", "at {task.hight}", 17, 'no fact "task.hight"'),
        ("more_than: 1}", "less_than: 1}", 6, "would vanish as task.work_height_m"),
        ("level: engineering", "level: ppe", 3, "only protective equipment"),
        ("effect: {likelihood: 2}", "effect: {likelihood: -1}", 14, "too small"),
        ("key: rail", "key: falling", 3, '"falling" is there twice'),
        ("name: Falling off", "name: [a]", 4, "expected a text"),
        (
            "    controls:\n",
            "    controls: []\n    extra:\n",
            12,
            '"extra" is not known',
        ),
        ("theme: test", "theme test", 2, "not YAML"),
    ],
)
def test_a_mistake_names_its_file_and_line(old, new, line, says):
    assert old in HAZARD
    with pytest.raises(LibraryError) as caught:
        read(HAZARD.replace(old, new, 1))
    assert says in str(caught.value)
    assert any(
        f.filename == "h.yaml" and abs(f.line - line) <= 1 for f in caught.value.faults
    )


def test_all_mistakes_of_all_files_are_told_at_once():
    bad = HAZARD.replace("level: engineering", "level: magic")
    with pytest.raises(LibraryError) as caught:
        load_library(
            {"a.yaml": bad, "b.yaml": bad.replace("falling", "other")}, words()
        )
    assert {fault.filename for fault in caught.value.faults} == {"a.yaml", "b.yaml"}


def test_the_same_key_in_two_files_is_a_mistake():
    with pytest.raises(LibraryError, match=r"b\.yaml, line 3: the key \"falling\""):
        load_library({"a.yaml": HAZARD, "b.yaml": HAZARD}, words())


def test_a_hazard_of_the_whole_job_cannot_ask_for_one_step():
    scoped = HAZARD.replace("    harm:", "    scope: job\n    harm:")
    with pytest.raises(LibraryError, match="belongs to a step, not to the whole job"):
        read(scoped)


def test_any_line_of_a_shipped_file_can_be_broken_and_is_then_named():
    name, shipped = "falls.yaml", texts("hazards")["falls.yaml"]
    lines = shipped.splitlines()
    for number in range(4, len(lines), 7):
        broken = [*lines]
        broken[number] = "      : [{"
        with pytest.raises(LibraryError) as caught:
            load_library({name: "\n".join(broken)}, words())
        assert all(fault.filename == name for fault in caught.value.faults)
