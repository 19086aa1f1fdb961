"""Lists of materials said in few words."""

import pytest

from jobs.domain.material_words import (
    FAMILIES,
    OTHER,
    and_list,
    family_title,
    say_materials,
)
from jobs.domain.takeoff import PIECE_KEYS

FRAME = [
    ("post", "Posts 3, 4"),
    ("post", "Posts 1, 2"),
    ("beam", "Beam"),
    ("house_bearer", "House bearer"),
    ("rafter", "Rafter"),
    ("ridge", "Ridge"),
    ("tie", "Gable tie"),
    ("purlin", "Purlin"),
]
ROOF = [("sheet", "Roof sheet, near slope"), ("sheet", "Roof sheet, far slope")]


def test_one_line_keeps_its_own_name():
    assert say_materials(ROOF[:1]) == "Roof sheet, near slope"


def test_a_few_kinds_are_named_once_each():
    assert say_materials(FRAME[:3]) == "posts and beams"
    assert say_materials(ROOF) == "roof sheets"


def test_many_lines_are_said_family_by_family():
    rain = [("gutter", "Gutter"), ("downpipe", "Downpipe")]
    assert say_materials([*FRAME, *ROOF, *rain]) == (
        "the frame (posts, beams, house bearer and 4 more kinds), roof sheets, "
        "gutters and downpipes"
    )


def test_all_kinds_are_named_when_there_is_room():
    assert say_materials(FRAME, shown=9) == (
        "the frame (posts, beams, house bearer, rafters, gable ties, ridge and purlins)"
    )


def test_what_is_on_no_cutting_list_keeps_its_name_and_comes_last():
    assert say_materials([("", "Tek screws"), *FRAME[:3]]) == (
        "posts, beams and Tek screws"
    )
    many = [("", f"Thing {n}") for n in range(6)]
    assert say_materials(many) == "Thing 0, Thing 1, Thing 2 and 3 more kinds"


def test_nothing_is_said_of_nothing():
    assert say_materials([]) == ""


def test_every_piece_has_a_family():
    known = {key for family in FAMILIES for key, _ in family.kinds}
    assert known == PIECE_KEYS
    assert family_title("purlin") == "Frame"
    assert family_title("") == OTHER


@pytest.mark.parametrize(
    ("words", "said"), [([], ""), (["a"], "a"), (["a", "b", "c"], "a, b and c")]
)
def test_lists_end_with_and(words, said):
    assert and_list(words) == said
