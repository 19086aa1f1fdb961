"""Makespans of published projects against their proven optima.

Source of the six projects and their optima: R. Kolisch and A. Sprecher, "PSPLIB - a
project scheduling problem library", European Journal of Operational Research 96 (1997),
205-216, set J30 (30 tasks, four resources). The files of the set were read.
"""

from pathlib import Path

import pytest

from scheduling.domain.cpsat.projects import solve, solve_plainly
from scheduling.domain.projects import psplib
from scheduling.domain.projects.project import faults, floor
from scheduling.domain.projects.serial import construct

FOLDER = Path(__file__).parent / "psplib"
OPTIMA = psplib.best_known((FOLDER / "optimum.csv").read_text())


def read(name):
    return psplib.project((FOLDER / f"{name}.sm").read_text())


@pytest.mark.parametrize("way", [solve, solve_plainly])
@pytest.mark.parametrize("name", OPTIMA)
def test_the_published_optimum_is_found_and_proven(name, way):
    project = read(name)
    found = way(project, 60.0)
    assert found.proven
    assert found.makespan == OPTIMA[name]
    assert list(faults(project, found.starts)) == []


@pytest.mark.parametrize("name", OPTIMA)
def test_the_optimum_lies_between_floor_and_the_schedule_made_at_once(name):
    project = read(name)
    assert floor(project) <= OPTIMA[name] <= project.makespan(construct(project))


def test_a_file_is_read_as_it_is_printed():
    project = read("j3010_1")
    assert project.durations[:5] == (0, 2, 5, 6, 4)
    assert project.demands[11] == (2, 10, 3, 8)
    assert project.followers[3] == (4, 5, 6)
    assert project.capacities == (24, 23, 25, 33)


def test_best_makespans_are_read_from_tables_and_from_lists():
    assert psplib.best_known("instance,lb,best ub\nj301_1.sm, 40, 43") == {"j301_1": 43}
    printed = "Par Inst Makespan CPU\n=====\n  1  2   47  0.1\n 48 10  54  0.0\n"
    assert psplib.best_known_by_number(printed, "j30") == {"j301_2": 47, "j3048_10": 54}
    assert psplib.prefix_of("j60hrs") == "j60"


def test_what_is_not_such_a_project_is_refused():
    text = (FOLDER / "j301_1.sm").read_text()
    assert not psplib.is_project("Par Inst Makespan")
    with pytest.raises(ValueError, match="only renewable"):
        psplib.project(
            text.replace("- renewable                 :  4", "- renewable : 3")
        )
    with pytest.raises(ValueError, match="no section RESOURCEAVAILABILITIES"):
        psplib.project(text.replace("RESOURCEAVAILABILITIES", "RESOURCES LEFT"))
