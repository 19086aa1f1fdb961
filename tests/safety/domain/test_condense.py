"""The print tells each hazard once, and loses nothing by it."""

from collections import Counter

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from jobs.domain.facts import ToolUse
from safety.domain.alike import greatest
from safety.domain.condense import COMMON_FROM, badness, condense
from safety.domain.overrides import Action, Override
from safety.domain.statement_digest import reasons_of
from tests.safety.domain.contents import content
from tests.safety.domain.jobs import PATIO_TASKS, job, lift, task

REASON = "Talked through with the crew."
EDITS = (
    Override(
        Action.REMOVE_CONTROL,
        "lay_sheets/fall_from_ladder",
        REASON,
        "Ola",
        "ladder_industrial",
    ),
    Override(
        Action.EDIT,
        "fix_brackets/fall_from_ladder",
        REASON,
        values={"harm": "Broken wrists."},
    ),
    Override(
        Action.RATE,
        "lay_sheets/dropped_piece",
        REASON,
        values={"residual_likelihood": 1},
    ),
)


def in_step(said, position):
    """What is said of one step."""
    return [one for one in said if not one.steps or position in one.steps]


def texts_in_step(said, position):
    """The sentences said of one step, those told together taken apart again."""
    return [
        text for one in said for text, steps in one.of if not steps or position in steps
    ]


def read_back(found, step, line):
    """A line again, from the card that tells it and from its step."""
    printed = next((s for s in found.steps if s.key == step["key"]), None)
    mentions = {m.line["key"]: m for m in printed.mentions} if printed else {}
    mention = mentions.get(line["key"])
    cards = found.everywhere if printed is None else printed.cards
    (card,) = [
        card
        for card in found.cards
        if (mention and card.number == mention.number)
        or (not mention and card in cards and card.line["key"] == line["key"])
    ]
    position = step["position"]
    (risk,) = in_step(card.risks, position)
    reasons = texts_in_step(card.reasons, position)
    return {
        "name": (mention or card).line["name"],
        "harm": card.line["harm"],
        "source": card.line["source"],
        "reasons": sorted([*reasons, *(mention.reasons if mention else ())]),
        "risk": (risk.before["words"], risk.after["words"]),
        "controls": sorted(
            one.control["key"]
            for one in card.controls
            for _ in texts_in_step([one], position)
        ),
        "texts": sorted(texts_in_step(card.controls, position)),
        "categories": [one.text for one in in_step(card.categories, position)],
        "changes": [c for c, steps in card.changes if not steps or position in steps],
    }


def as_kept(line):
    return {
        "name": line["name"],
        "harm": line["harm"],
        "source": line["source"],
        "reasons": sorted(reasons_of(line)),
        "risk": (line["initial"]["words"], line["residual"]["words"]),
        "controls": sorted(control["key"] for control in line["controls"]),
        "texts": sorted(control["text"] for control in line["controls"]),
        "categories": line["categories"],
        "changes": line["changes"],
    }


def assert_nothing_is_lost(made):
    found = condense(made)
    for step in made["steps"]:
        for line in step["lines"]:
            assert read_back(found, step, line) == as_kept(line), line["key"]


@pytest.mark.parametrize("edits", [(), EDITS], ids=["as made", "as reviewed"])
def test_every_line_can_be_read_back(edits):
    assert_nothing_is_lost(content(overrides=edits))


@settings(max_examples=40)
@given(
    heights=st.lists(st.sampled_from([0.0, 0.9, 2.4, 2.88]), min_size=8, max_size=8),
    masses=st.lists(st.sampled_from([0.0, 9.0, 43.0]), min_size=8, max_size=8),
    kinds=st.lists(
        st.sampled_from(["lay_sheets", "fix_brackets", "hang_gutter", "fix_purlins"]),
        min_size=1,
        max_size=8,
    ),
)
def test_whatever_the_steps_nothing_is_lost(heights, masses, kinds):
    steps = [
        task(
            kind,
            key=f"{kind}_{n}",
            position=n,
            height=height,
            tools=(ToolUse("ladder", 0.0), ToolUse("screw_gun", 30.0 * n)),
            lifts=(lift("beam", mass),) if mass else (),
        )
        for n, (kind, height, mass) in enumerate(zip(kinds, heights, masses), 1)  # noqa: B905
    ]
    assert_nothing_is_lost(content(job(*steps)))


def test_a_hazard_of_many_steps_is_told_before_them_and_once():
    found = condense(content())
    told = Counter(card.line["hazard"] for card in found.cards)
    assert set(told.values()) == {1}
    for card in found.everywhere:
        assert card.steps == () or len(card.steps) >= COMMON_FROM
    for step in found.steps:
        for card in step.cards:
            assert step.position == card.steps[0]
            assert len(card.steps) < COMMON_FROM


def test_cards_are_numbered_as_they_are_printed():
    numbers = [card.number for card in condense(content()).cards]
    assert numbers == list(range(1, len(numbers) + 1))


def test_the_steps_stand_in_the_order_of_the_work():
    made = content()
    names = [step["name"] for step in made["steps"] if not step["whole_job"]]
    assert [step.name for step in condense(made).steps] == names


def test_controls_of_a_card_stand_in_the_order_of_the_hierarchy():
    order = [
        "eliminate",
        "substitute",
        "isolate",
        "engineering",
        "administrative",
        "ppe",
    ]
    for card in condense(content()).cards:
        places = [order.index(one.control["level"]) for one in card.controls]
        assert places == sorted(places)


def test_a_control_that_only_some_steps_have_says_which():
    found = condense(content())
    (card,) = [c for c in found.cards if c.line["hazard"] == "fall_from_height"]
    rails = [c for c in card.controls if c.control["key"] == "fall_edge_protection"]
    sheets = next(t.position for t in PATIO_TASKS if t.kind == "lay_sheets")
    assert sheets in rails[0].steps
    assert set(rails[0].steps) < set(card.steps)


def test_a_card_says_when_its_steps_say_more():
    found = condense(content())
    more = {card.number for card in found.cards if card.more_in_steps}
    told = {m.number for step in found.steps for m in step.mentions if m.reasons}
    assert more
    assert more == told


def test_a_hazard_whose_harm_a_reviewer_changed_is_told_by_itself():
    found = condense(content(overrides=EDITS))
    ladders = [c for c in found.cards if c.line["hazard"] == "fall_from_ladder"]
    assert {card.line["harm"] for card in ladders} >= {"Broken wrists."}
    assert len(ladders) == 2


def test_the_worst_of_its_lines_names_a_hazard_of_many_steps():
    made = content()
    lines = [line for step in made["steps"] for line in step["lines"]]
    for card in condense(made).everywhere:
        own = [x for x in lines if x["hazard"] == card.line["hazard"]]
        worst = max((badness(x["initial"]), greatest(x["name"])) for x in own)
        assert (badness(card.line["initial"]), greatest(card.line["name"])) == worst


def test_a_control_with_another_figure_in_another_step_is_told_once():
    lifts = [
        task("lift_beams", key=f"lift_{n}", position=n, lifts=(lift("beam", mass),))
        for n, mass in enumerate((43.0, 44.0, 60.0, 43.0), 1)
    ]
    made = content(job(*lifts))
    for step, people in zip(made["steps"][1:], (2, 3, 4, 2), strict=True):
        for line in step["lines"]:
            for control in line["controls"]:
                if control["key"] == "lift_team":
                    control["text"] = f"People on it: at least {people}."
    cards = condense(made).cards
    told = [
        c for card in cards for c in card.controls if c.control["key"] == "lift_team"
    ]
    assert [one.control["text"] for one in told] == [
        "People on it: at least 2 (steps 1, 4), 3 (step 2) or 4 (step 3)."
    ]
