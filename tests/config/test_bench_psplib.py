"""The measurement on published projects, on a few small ones."""

from pathlib import Path

import pytest
from django.core.management.base import CommandError

from config.bench import psplib

FOLDER = Path(__file__).parent.parent / "published" / "psplib"
OPTIONS = {"folder": str(FOLDER), "seconds": 5.0, "sample": None, "seed": 1}


def test_projects_are_read_in_order_with_what_is_known_to_be_best():
    projects, best = psplib.read(FOLDER)
    names = ["j301_1", "j305_6", "j3010_1", "j3017_3", "j3022_5", "j3046_3"]
    assert list(projects) == names
    assert list(best) == names


def test_a_sample_is_evenly_spaced():
    names = [f"p{n}" for n in range(10)]
    assert psplib.sample(names, 3) == ["p0", "p3", "p6"]
    assert psplib.sample(names, 99) == psplib.sample(names, None) == names


def test_a_set_is_measured_three_ways_side_by_side():
    told: list[str] = []
    psplib.run({**OPTIONS, "sample": 2}, told.append)
    assert told[0] == "30 tasks: 2 projects of 6 …"
    ways = {line.split("  ")[1]: line.split() for line in told[2:5]}
    assert list(ways) == ["bare model", "ours", "made at once"]
    assert ways["ours"][1:4] == ["100.0%", "0.000%", "100.0%"]


def test_a_folder_without_projects_is_told_so(tmp_path):
    with pytest.raises(CommandError, match="There is no"):
        psplib.run({**OPTIONS, "folder": str(tmp_path)}, print)
