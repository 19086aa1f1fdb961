"""What the print adds to a statement: marks, sources, a glance and set-out figures."""

from collections import Counter

import pytest

from jobs.domain.sources import CHECK_FIRST
from jobs.domain.takeoff import SetOut
from safety.domain.condense import badness
from safety.domain.hierarchy import Level
from safety.domain.plan import When
from safety.domain.printing import (
    Publisher,
    at_a_glance,
    by_publisher,
    first_control,
    in_brief,
    laid_out,
    marked,
    set_out_figures,
)
from tests.safety.domain.contents import content

AHEAD = {When.BEFORE_JOB, When.DAY_START, When.TASK_START}


def rows_of(made):
    for step in made["steps"]:
        for line in step["lines"]:
            yield line
            yield from line["controls"]


def test_a_mark_leads_to_the_source_it_stands_for():
    with_marks, sources = marked(content())
    for row in rows_of(with_marks):
        number = row["mark"].strip("LCPF*")
        if number:
            printed = sources[int(number) - 1].removesuffix("*")
            assert printed == row["source"].replace(f"; {CHECK_FIRST}", "")


def test_what_nobody_has_read_carries_a_star_in_both_places():
    with_marks, sources = marked(content())
    for row in rows_of(with_marks):
        assert row["mark"].endswith("*") == (CHECK_FIRST in row["source"])
    assert any(source.endswith("*") for source in sources)
    assert not any(CHECK_FIRST in source for source in sources)


def test_a_label_alone_has_its_letter_and_no_number():
    with_marks, sources = marked(content())
    marks = {row["source"]: row["mark"] for row in rows_of(with_marks)}
    assert marks["common practice, no source"] == "P"
    assert marks["firm's decision"] == "F"
    assert "firm's decision" not in sources


def test_marking_leaves_the_content_itself_alone():
    made = content()
    marked(made)
    assert all("mark" not in row for row in rows_of(made))


def test_the_glance_shows_the_worst_hazard_of_each_step():
    made = content()
    found, _ = laid_out(made)
    steps = {step["position"]: step for step in made["steps"]}
    for row in at_a_glance(found):
        lines = steps[row.position]["lines"]
        worst = max(badness(line["initial"]) for line in lines)
        assert badness(row.before) == worst
        assert row.worst in {line["name"] for line in lines}


def test_of_equals_the_glance_names_the_hazard_of_the_fewest_steps():
    found, _ = laid_out(content())
    steps = Counter(line["hazard"] for step in found.steps for line in step.lines)
    for row, step in zip(at_a_glance(found), found.steps, strict=True):
        equals = [x for x in step.lines if badness(x["initial"]) == badness(row.before)]
        (named,) = [x for x in equals if x["name"] == row.worst]
        assert steps[named["hazard"]] == min(steps[x["hazard"]] for x in equals)


def test_sources_stand_under_their_publishers_with_their_numbers():
    sources = (
        "model Regulations reg 9, Safe Work (law)*",
        "guidance for renovators (common practice)",
        "model Regulations, silica part, Safe Work (law)",
    )
    assert by_publisher(sources) == (
        Publisher(
            "Safe Work (law)",
            (
                (1, "model Regulations reg 9*"),
                (3, "model Regulations, silica part"),
            ),
        ),
        Publisher("common practice", ((2, "guidance for renovators"),)),
    )


def test_no_source_is_lost_under_its_publisher():
    _, sources = laid_out(content())
    numbers = [n for one in by_publisher(sources) for n, _ in one.places]
    assert sorted(numbers) == [*range(1, len(sources) + 1)]


def test_what_to_see_to_first_is_there_before_the_step_begins():
    for step in content()["steps"]:
        for line in step["lines"]:
            if AHEAD & {control["when"] for control in line["controls"]}:
                assert first_control(line)["when"] in AHEAD


def test_of_what_is_there_before_it_is_what_does_most():
    controls = [
        {"when": When.DURING, "lowers": [3, 0], "level": Level.ELIMINATE},
        {"when": When.TASK_START, "lowers": [1, 0], "level": Level.ENGINEERING},
        {"when": When.TASK_START, "lowers": [1, 1], "level": Level.PPE},
        {"when": When.TASK_START, "lowers": [2, 0], "level": Level.ENGINEERING},
    ]
    assert first_control({"controls": controls}) is controls[3]
    assert first_control({"controls": controls[:1]}) is controls[0]


@pytest.mark.parametrize(
    ("text", "brief"),
    [
        (
            "Put guard rail on every open edge: 12 m in all.",
            "Put guard rail on every open edge.",
        ),
        (
            "Work in pairs. Nobody is alone on the roof.",
            "Work in pairs. Nobody is alone on the roof.",
        ),
        ("Stop.", "Stop."),
    ],
)
def test_a_control_in_brief_is_its_first_clause_of_some_length(text, brief):
    assert in_brief(text) == brief


def test_set_out_figures_that_read_the_same_stand_together():
    figures = [
        SetOut("post_1", "Cut length, post 1", 2.4, "m", ""),
        SetOut("post_2", "Cut length, post 2", 2.4, "m", ""),
        SetOut("post_3", "Cut length, post 3", 2.5, "m", ""),
        SetOut("diagonal", "Both diagonals", 6.8, "m", ""),
    ]
    names = [(one.name, one.value) for one in set_out_figures(figures)]
    assert names == [
        ("Cut length, posts 1, 2", 2.4),
        ("Cut length, post 3", 2.5),
        ("Both diagonals", 6.8),
    ]
