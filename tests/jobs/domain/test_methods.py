from dataclasses import replace
from functools import cache
from pathlib import Path

import pytest

from jobs.domain.dimensions import Structure
from jobs.domain.method_files import parse_method
from jobs.domain.sequence import in_order, needed
from jobs.domain.takeoff import take_off
from jobs.domain.takeoff.keys import PIECE_KEYS
from jobs.domain.task_kinds import parse_task_kinds
from jobs.domain.ticket_kinds import parse_ticket_kinds
from jobs.domain.tools import parse_tools
from jobs.domain.yaml_lines import LibraryError

FIXTURES = Path(__file__).parents[3] / "fixtures"


def _read(parse, name):
    return parse((FIXTURES / name).read_text(encoding="utf-8"), filename=name)


WORDS = {
    "kinds": _read(parse_task_kinds, "methods/task_kinds.yaml"),
    "tools": _read(parse_tools, "tools.yaml"),
    "ticket_kinds": _read(parse_ticket_kinds, "ticket_kinds.yaml"),
}


@cache
def method_of(structure):
    path = FIXTURES / "methods" / f"{structure}.yaml"
    text = path.read_text(encoding="utf-8")
    return parse_method(text, filename=path.name, **WORDS)


@pytest.mark.parametrize("structure", Structure)
def test_there_is_a_method_for_each_structure(structure):
    method = method_of(structure)
    assert method.structure == method.key == structure
    assert 12 <= len(method.tasks) <= 25
    assert in_order(method.tasks) == method.tasks
    assert all(task.says for task in method.tasks)


@pytest.mark.parametrize("structure", Structure)
@pytest.mark.parametrize("on_footings", [False, True])
def test_what_a_method_names_is_in_the_take_off(
    structure, on_footings, ordinary, site, sections
):
    dims = replace(ordinary[structure], on_footings=on_footings)
    taken = take_off(structure, dims, site, sections)
    for task in needed(method_of(structure).tasks, taken):
        pieces = [lift.piece for lift in task.lifts]
        pieces += [m for m in task.materials if m in PIECE_KEYS]
        assert taken.value(task.per) > 0, task.key
        assert all(taken.lifted(piece) for piece in pieces), task.key
        assert all(taken.value(tool.per) > 0 for tool in task.tools), task.key


def test_the_methods_together_use_every_kind_of_task():
    used = {task.kind for s in Structure for task in method_of(s).tasks}
    assert used == set(WORDS["kinds"])


@pytest.mark.parametrize("structure", Structure)
def test_a_method_stops_for_squareness_plumb_fall_and_a_final_look(structure):
    points = [t.hold_point for t in method_of(structure).tasks if t.hold_point]
    assert {p.measure for p in points} == {"diagonals", "plumb", "fall", "look"}


@pytest.mark.parametrize("structure", Structure)
def test_concrete_cures_before_the_frame_loads_it(structure):
    links = [
        link
        for task in method_of(structure).tasks
        for link in task.links
        if link.after == "pour_footings"
    ]
    assert [link.lag_hours for link in links] == [168.0]


@pytest.mark.parametrize("structure", Structure)
def test_a_wind_limit_is_never_passed_off_as_law(structure):
    for task in method_of(structure).tasks:
        if task.wind_limit_ms is not None:
            assert task.weather_source.startswith("firm's own")


HEAD = "key: m\nname: M\nstructure: attached_flat\ntasks:\n"
ONE = "- {key: a, kind: set_out, name: A, per: job, minutes_per_unit: 5"


def faults_of(tasks):
    with pytest.raises(LibraryError) as caught:
        parse_method(HEAD + tasks, filename="m.yaml", **WORDS)
    return [str(fault) for fault in caught.value.faults]


@pytest.mark.parametrize(
    ("more", "says"),
    [
        (", colour: red", 'the key "colour" is not known here. Known: '),
        (", per: jobs", 'the key "per" is there twice.'),
        (", kind: set_oot", 'the key "kind" is there twice.'),
        (", tools: [{tool: grinder}]", 'there is no tool "grinder". Did you mean '),
        (", tools: [{tool: laser, per: jib}]", 'there is no quantity "jib".'),
        (", tickets: [pilot]", 'there is no ticket "pilot".'),
        (", only_if: footings", 'there is no quantity "footings".'),
        (", at_height: height_moon", 'there is no height "height_moon".'),
        (", lifts: [{piece: crane, people: 2}]", 'there is no piece "crane".'),
        (
            ", lifts: [{piece: post, people: 5}]",
            "5 people lift, but the crew is at most 4.",
        ),
        (", materials: [gold]", 'there is no material "gold".'),
        (", crew: [3, 2]", "write the crew as [least, most], such as [2, 4]."),
        (", wind_limit_ms: 8", 'say in "weather_source" whose limit it is'),
        (", setup_minutes: -1", "-1 is too small: at least 0."),
        (", after: [{task: a, lag_hours: 4}]", 'say "why" the next task has to wait.'),
        (", after: [{task: a, lag_hours: -4, why: x}]", "-4 is too small: at least 0."),
        (", after: [b]", '"a" waits for "b", which is not in this method.'),
        (", after: [a]", '"A" would wait for itself. Take that link out.'),
        (
            ", hold_point: {key: h, says: s, measure: smell}",
            'there is no measure "smell".',
        ),
    ],
)
def test_a_mistake_in_a_task_names_its_line(more, says):
    (fault,) = faults_of(ONE + more + "}\n")
    assert fault.startswith(f"m.yaml, line 5: {says}")


@pytest.mark.parametrize("kind", ["kind: set_oot", "kind: hazards"])
def test_an_unknown_kind_of_task_is_a_fault(kind):
    (fault,) = faults_of(ONE.replace("kind: set_out", kind) + "}\n")
    assert fault.startswith("m.yaml, line 5: there is no kind of task")


def test_a_task_written_twice_is_a_fault():
    assert faults_of(f"{ONE}}}\n{ONE}}}\n") == [
        'm.yaml, line 6: the task "a" is there twice.'
    ]


def test_a_loop_is_told_as_a_path():
    second = ONE.replace("key: a", "key: b").replace("name: A", "name: B")
    assert faults_of(f"{ONE}, after: [b]}}\n{second}, after: [a]}}\n") == [
        "m.yaml, line 5: These tasks would wait for each other in a loop: "
        '"A" → "B" → "A". Take out one of these links.'
    ]


def test_faults_of_several_tasks_are_told_together():
    assert len(faults_of(f"{ONE}, x: 1}}\n{ONE}, y: 1}}\n")) == 2
