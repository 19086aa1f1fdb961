"""What could hurt badly, in short."""

import pytest

from safety.domain.worst import SERIOUS, worst_of
from tests.safety.domain.contents import content


def line(name, consequence=5, control="Keep off."):
    return {
        "name": name,
        "initial": {"consequence": consequence},
        "controls": [{"text": control}] if control else [],
    }


def step(position, *lines, whole_job=False):
    return {"position": position, "whole_job": whole_job, "lines": list(lines)}


def worst(*steps):
    return worst_of({"steps": list(steps)})


def test_only_what_could_injure_badly_is_named():
    found = worst(step(1, line("Falling", SERIOUS), line("A splinter", SERIOUS - 1)))
    assert [one.hazard for one in found] == ["Falling"]


def test_the_worst_comes_first_and_equals_stay_in_order():
    rows = (line("Lifting", 4), line("Falling", 5), line("Shock", 5))
    assert [one.hazard for one in worst(step(1, *rows))] == [
        "Falling",
        "Shock",
        "Lifting",
    ]


def test_a_hazard_of_several_steps_is_said_once_with_its_steps():
    (one,) = worst(*(step(n, line("Falling")) for n in (5, 6, 7, 12)))
    assert one.steps == (5, 6, 7, 12)
    assert one.where == "steps 5–7, 12"


def test_another_first_control_keeps_it_apart():
    rows = step(1, line("Falling")), step(2, line("Falling", control="Guard rail."))
    assert len(worst(*rows)) == 2


def test_what_is_there_all_the_time_names_no_steps():
    (one,) = worst(step(0, line("Shock"), whole_job=True), step(3, line("Shock")))
    assert one.where == "the whole job"


@pytest.mark.parametrize(
    ("steps", "words"),
    [((4,), "step 4"), ((4, 5), "steps 4, 5"), ((1, 2, 3), "steps 1–3")],
)
def test_steps_are_told_in_words(steps, words):
    (one,) = worst(*(step(n, line("Falling")) for n in steps))
    assert one.where == words


def test_a_real_statement_names_falls_from_the_roof():
    found = worst_of(content())
    assert any(one.hazard.startswith("Falling from") for one in found)
    assert all(one.consequence >= SERIOUS for one in found)
