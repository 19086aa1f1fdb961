"""Projects in the format of PSPLIB, single mode (.sm), and lists of best known makespans.

Source of the format: R. Kolisch and A. Sprecher, "PSPLIB - a project scheduling problem
library", European Journal of Operational Research 96 (1997), 205-216, and its files.
"""

import csv
import re
from collections.abc import Iterator, Mapping, Sequence
from itertools import takewhile

from scheduling.domain.projects.project import Project

SUCCESSORS = "PRECEDENCE RELATIONS"
REQUESTS = "REQUESTS/DURATIONS"
AVAILABLE = "RESOURCEAVAILABILITIES"
BEST = ("best", "optimum", "optimal", "ub", "upper", "makespan")  # headings, in turn


def is_project(text: str) -> bool:
    """Whether a file tells a project, and not results of others."""
    return SUCCESSORS in text and REQUESTS in text


def project(text: str) -> Project:
    """A project as told by a .sm file; ``ValueError`` for what we do not read."""
    successors = list(_rows(text, SUCCESSORS))
    requests = list(_rows(text, REQUESTS))
    if not requests or len(successors) != len(requests):
        raise ValueError("not a project with one way to do each task")
    renewable = _count(text, "renewable")
    if any(len(row) != 3 + renewable for row in requests):
        raise ValueError("only renewable resources are read")
    (available,) = _rows(text, AVAILABLE)
    return Project(
        durations=tuple(row[2] for row in requests),
        demands=tuple(tuple(row[3:]) for row in requests),
        capacities=tuple(available),
        followers=tuple(tuple(at - 1 for at in row[3:]) for row in successors),
    )


def best_known(text: str) -> Mapping[str, int]:
    """Makespans by the name of the project, from a table with commas and a heading.

    The first column names the project; the value stands in the first column whose
    heading speaks of a best, an optimum or an upper bound, otherwise in the last.
    """
    rows = [row for row in csv.reader(text.splitlines()) if len(row) > 1]
    if not rows:
        return {}
    heading = [cell.strip().lower() for cell in rows[0]]
    named = (at for word in BEST for at, cell in enumerate(heading) if word in cell)
    column = next(named, len(heading) - 1)
    return {_name(row[0]): int(row[column]) for row in rows[1:]}


def best_known_by_number(text: str, prefix: str) -> Mapping[str, int]:
    """The same from a published list: parameter set, instance, makespan, and more."""
    rows = (re.findall(r"\d+", line) for line in text.splitlines() if _numbers(line))
    return {f"{prefix}{row[0]}_{row[1]}": int(row[2]) for row in rows if len(row) > 2}


def prefix_of(stem: str) -> str:
    """What the names of a list's projects begin with: ``j60`` for ``j60hrs``."""
    found = re.match(r"[a-z]+\d+", stem.lower())
    return found[0] if found else stem.lower()


def number_of(name: str) -> tuple[int, ...]:
    """To sort names by the numbers in them."""
    return tuple(int(part) for part in re.findall(r"\d+", name))


def _name(cell: str) -> str:
    return cell.strip().removesuffix(".sm").lower()


def _numbers(line: str) -> Sequence[str] | None:
    """The cells of a line that begins with numbers; None for words and rulers."""
    cells = line.split()
    return cells if cells and cells[0].isdigit() else None


def _rows(text: str, section: str) -> Iterator[list[int]]:
    """The rows of numbers below a heading."""
    _, found, rest = text.partition(section)
    if not found:
        raise ValueError(f"there is no section {section}")
    lines = takewhile(lambda line: not line.startswith("**"), rest.splitlines())
    for line in lines:
        if _numbers(line):
            yield [int(cell) for cell in line.split()]


def _count(text: str, kind: str) -> int:
    found = re.search(rf"- {kind}\s*:\s*(\d+)", text)
    if found is None:
        raise ValueError(f"the number of {kind} resources is not told")
    return int(found[1])
