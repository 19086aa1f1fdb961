"""The three-way merge of hazard libraries: nothing is lost, nothing is made up."""

from dataclasses import fields, replace

from hypothesis import given
from hypothesis import strategies as st

from jobs.domain.holds import Basis
from jobs.domain.roles import Role
from jobs.domain.sources import Source
from safety.domain.conditions import Always, Op, Test
from safety.domain.hierarchy import Level
from safety.domain.library import (
    Control,
    Hazard,
    HazardLibrary,
    Reason,
    Scope,
    SourceRef,
)
from safety.domain.merge import Side, Spot, differences, merge
from safety.domain.plan import When
from safety.domain.risk import Effect
from safety.domain.templates import Template

FIRM = SourceRef(Source(Basis.FIRM))
RAIL = Control(
    key="rail",
    text=Template("Put up a rail."),
    level=Level.ENGINEERING,
    effect=Effect(2),
    who=Role.SITE_LEAD,
    when=When.TASK_START,
    check="Rail on every side.",
    source=FIRM,
)
FALL = Hazard(
    key="fall",
    name=Template("Falling off"),
    theme="falls",
    scope=Scope.TASK,
    harm="A broken leg.",
    condition=Always(),
    reasons=(Reason(Template("The work is high up.")),),
    likelihood=3,
    consequence=4,
    raises=(),
    source=FIRM,
    controls=(RAIL,),
)
KEYS = st.sampled_from("abcd")


def controls(hazard):
    return st.builds(
        lambda key, text, check: replace(
            RAIL, key=f"{hazard}{key}", text=Template(text), check=check
        ),
        KEYS,
        st.sampled_from(["Rail.", "Net."]),
        st.sampled_from(["Look.", "Pull."]),
    )


@st.composite
def hazards(draw):
    key = draw(KEYS)
    parts = st.lists(controls(key), max_size=3, unique_by=lambda one: one.key)
    return replace(
        FALL,
        key=key,
        harm=draw(st.sampled_from(["A leg.", "An arm."])),
        likelihood=draw(st.integers(1, 3)),
        condition=draw(
            st.sampled_from([Always(), Test("task.work_height_m", Op.MORE_THAN, 1.0)])
        ),
        off=draw(st.sampled_from(["", "Never here."])),
        controls=tuple(draw(parts)),
    )


LIBRARIES = st.lists(hazards(), max_size=4, unique_by=lambda one: one.key).map(
    lambda found: HazardLibrary(tuple(found))
)
THREE = st.tuples(LIBRARIES, LIBRARIES, LIBRARIES)


def one(**changes):
    return HazardLibrary((replace(FALL, **changes),))


def spots(found):
    return {each.spot for each in found}


def leaves(library):
    """All that a library says, spot by spot; that a thing is there is said too."""
    found = {}
    for hazard in library.hazards:
        for control in (None, *hazard.controls):
            spot = Spot(hazard.key, control.key if control else "")
            thing = control or hazard
            found[spot] = True
            for name in (f.name for f in fields(thing)):
                if name not in ("key", "controls"):
                    found[replace(spot, part=name)] = getattr(thing, name)
    return found


def told(merged, spot):
    """Whether a conflict at the spot, or at what it is part of, was shown."""
    about = {spot, Spot(spot.hazard), Spot(spot.hazard, spot.control)}
    return bool(about & spots(merged.open))


@given(LIBRARIES, LIBRARIES)
def test_a_firm_that_changed_nothing_gets_the_shipped_library(base, theirs):
    merged = merge(base, base, theirs)
    assert merged.library == theirs
    assert not merged.open


@given(LIBRARIES, LIBRARIES)
def test_an_update_that_changes_nothing_leaves_the_firms_library(base, ours):
    merged = merge(base, ours, base)
    assert merged.library == ours
    assert not merged.open
    assert not merged.taken


@given(LIBRARIES, LIBRARIES)
def test_the_same_change_on_both_sides_is_no_conflict(base, both):
    merged = merge(base, both, both)
    assert merged.library == both
    assert not merged.open


@given(THREE)
def test_both_sides_see_the_same_conflicts(three):
    base, ours, theirs = three
    there, back = merge(base, ours, theirs), merge(base, theirs, ours)
    assert spots(there.open) == spots(back.open)


@given(THREE)
def test_no_edit_of_either_side_is_lost_without_being_shown(three):
    base, ours, theirs = map(leaves, three)
    merged = merge(*three)
    now = leaves(merged.library)
    for side in (ours, theirs):
        for spot in base.keys() | side.keys():
            if side.get(spot) != base.get(spot):
                assert now.get(spot) == side.get(spot) or told(merged, spot)


@given(THREE, st.sampled_from(Side))
def test_deciding_everything_for_one_side_leaves_nothing_open(three, side):
    base, ours, theirs = three
    asked = spots(merge(base, ours, theirs).open)
    decided = merge(base, ours, theirs, dict.fromkeys(asked, side))
    assert not decided.open
    now, chosen = leaves(decided.library), ours if side is Side.OURS else theirs
    for spot in asked:
        assert now.get(spot) == leaves(chosen).get(spot)


@given(THREE)
def test_nothing_is_made_up(three):
    sides = [leaves(side) for side in three]
    for spot, value in leaves(merge(*three).library).items():
        assert value in [side.get(spot) for side in sides]


@given(THREE)
def test_what_is_taken_leads_from_the_firms_library_to_the_new_one(three):
    _, ours, _ = three
    merged = merge(*three)
    assert spots(merged.taken) == spots(differences(ours, merged.library))


def test_two_changes_to_different_parts_both_count():
    merged = merge(one(), one(harm="A broken arm."), one(likelihood=5))
    assert merged.library == one(harm="A broken arm.", likelihood=5)
    assert spots(merged.taken) == {Spot("fall", part="likelihood")}
    assert spots(merged.kept) == {Spot("fall", part="harm")}


def test_two_changes_to_one_part_are_a_conflict_that_keeps_the_firms_word():
    merged = merge(one(), one(harm="An arm."), one(harm="A neck."))
    (conflict,) = merged.open
    assert (conflict.base, conflict.ours, conflict.theirs) == (
        "A broken leg.",
        "An arm.",
        "A neck.",
    )
    assert merged.library == one(harm="An arm.")


def test_a_hazard_that_went_but_was_edited_here_is_a_conflict():
    merged = merge(one(), one(harm="An arm."), HazardLibrary(()))
    (conflict,) = merged.open
    assert conflict.spot == Spot("fall")
    gone = merge(
        one(), one(harm="An arm."), HazardLibrary(()), {conflict.spot: Side.THEIRS}
    )
    assert gone.library == HazardLibrary(())


def test_a_control_of_the_firm_stays_behind_the_one_it_stood_behind():
    net, mat, rope = (replace(RAIL, key=key) for key in ("net", "mat", "rope"))
    ours, theirs = one(controls=(RAIL, net)), one(controls=(mat, RAIL, rope))
    merged = merge(one(), ours, theirs)
    keys = [control.key for control in merged.library.hazards[0].controls]
    assert keys == ["mat", "rail", "net", "rope"]


def test_without_a_base_every_difference_is_asked_about():
    merged = merge(HazardLibrary(()), one(harm="An arm."), one(harm="A neck."))
    assert spots(merged.open) == {Spot("fall", part="harm")}
