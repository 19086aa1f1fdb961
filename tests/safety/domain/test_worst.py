"""What could hurt badly, said once each."""

from safety.domain.worst import worst_of


def line(name, consequence, control="Keep off"):
    return {
        "name": name,
        "initial": {"consequence": consequence},
        "controls": [{"text": control}],
    }


def content(*steps):
    return {
        "steps": [
            {"position": number, "whole_job": number == 0, "lines": lines}
            for number, lines in steps
        ]
    }


def test_the_worst_comes_first_and_the_mild_not_at_all():
    found = worst_of(
        content((1, [line("Cut", 3), line("Load falls", 4)]), (2, [line("Fall", 5)]))
    )
    assert [one.hazard for one in found] == ["Fall", "Load falls"]


def test_the_same_hazard_in_many_steps_is_said_once():
    (one,) = worst_of(content(*((n, [line("Fall", 5)]) for n in (1, 2, 3, 5, 7, 8))))
    assert one.where == "steps 1 to 3, 5 and 7, 8"


def test_another_first_control_keeps_it_apart():
    found = worst_of(
        content((1, [line("Fall", 5)]), (2, [line("Fall", 5, "Scaffold")]))
    )
    assert [one.control for one in found] == ["Keep off", "Scaffold"]


def test_what_is_there_all_the_time_is_in_no_one_step():
    (one,) = worst_of(content((0, [line("Heat", 4)]), (3, [line("Heat", 4)])))
    assert one.where == "the whole job"
