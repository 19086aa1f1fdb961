"""Published projects (PSPLIB, .sm): our way, the bare solver model, a schedule at once.

DIR holds .sm files, in folders if you like, and what is known to be best: tables with
commas and a heading (``problem,optimum``) in .csv files, or the published lists of the
library under their own names (such as ``j30opt.sm`` and ``j60hrs.sm``: parameter set,
instance, makespan). Without them there are proofs and times, and no gaps.
"""

import os
from argparse import ArgumentParser
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from statistics import fmean, median
from time import perf_counter, process_time
from typing import Any

from django.core.management.base import CommandError

from config.bench.firms import Write
from scheduling.domain.cpsat.projects import Found, solve, solve_plainly
from scheduling.domain.projects import psplib
from scheduling.domain.projects.project import Project, faults, floor
from scheduling.domain.projects.serial import construct

SAME_PROOF, SAME_PROOF_S = 1.2, 0.02  # as quick as the bare model: times, plus seconds
TOLD_EVERY_S = 10.0
NAMES = {"bare": "bare model", "ours": "ours", "at_once": "made at once"}


@dataclass(frozen=True, slots=True)
class Answer:
    """What one way found, and how long it took."""

    makespan: int
    proven: bool
    seconds: float


@dataclass(frozen=True, slots=True)
class Row:
    """One project three ways, with the best known makespan if there is one."""

    best: int | None
    bare: Answer
    ours: Answer
    at_once: Answer


def add_arguments(parser: ArgumentParser) -> None:
    """Which projects, and for how long."""
    parser.add_argument("folder", nargs="?", default=".", metavar="DIR")
    parser.add_argument("--seconds", type=float, default=5.0, help="for each way")
    parser.add_argument("--sample", type=int, help="so many of each set, evenly spaced")
    parser.add_argument("--seed", type=int, default=1)


def run(options: Mapping[str, Any], write: Write) -> None:
    """Measure every project of the folder and print a table for each size."""
    folder = Path(options["folder"])
    projects, best = read(folder)
    if not projects:
        raise CommandError(f"There is no .sm project in {folder.resolve()}.")
    for tasks in sorted({len(p.durations) - 2 for p in projects.values()}):
        names = [n for n, p in projects.items() if len(p.durations) - 2 == tasks]
        chosen = sample(names, options["sample"])
        write(f"{tasks} tasks: {len(chosen)} projects of {len(names)} …")
        began, worked = perf_counter(), process_time()
        rows = list(_rows(projects, best, chosen, options, write))
        cores = (process_time() - worked) / (perf_counter() - began)
        for line in table(rows):
            write(line)
        write(f"  {cores:.1f} of {os.cpu_count()} cores were ours.")


def read(folder: Path) -> tuple[dict[str, Project], dict[str, int]]:
    """Projects by name in the order of their numbers, and makespans known to be best."""
    projects: dict[str, Project] = {}
    best: dict[str, int] = {}
    for path in sorted(folder.rglob("*")):
        if path.suffix == ".csv":
            best |= psplib.best_known(path.read_text())
        elif path.suffix == ".sm":
            text = path.read_text(errors="replace")
            if psplib.is_project(text):
                projects[path.stem.lower()] = psplib.project(text)
            else:
                best |= psplib.best_known_by_number(text, psplib.prefix_of(path.stem))
    ordered = sorted(projects, key=psplib.number_of)
    return {name: projects[name] for name in ordered}, best


def sample(names: Sequence[str], count: int | None) -> Sequence[str]:
    """So many names, evenly spaced; all of them without a count."""
    if not count or count >= len(names):
        return names
    return [names[at * len(names) // count] for at in range(count)]


def measure(
    project: Project, best: int | None, options: Mapping[str, Any], *, bare_first: bool
) -> Row:
    """One project three ways, one after the other."""
    seconds, seed = options["seconds"], options["seed"]
    ways: dict[str, Callable[[], Found]] = {
        "bare": lambda: solve_plainly(project, seconds, seed=seed),
        "ours": lambda: solve(project, seconds, seed=seed),
    }
    order = ("bare", "ours") if bare_first else ("ours", "bare")
    found = {name: _answer(project, ways[name]) for name in order}
    return Row(
        best=best,
        bare=found["bare"],
        ours=found["ours"],
        at_once=_answer(project, lambda: _at_once(project)),
    )


def table(rows: Sequence[Row]) -> Iterator[str]:
    """The figures of one set as lines."""
    yield f"  {'':14} {'proven':>8} {'gap':>8} {'as best':>8} {'seconds':>8}"
    for name in ("bare", "ours", "at_once"):
        answers: list[Answer] = [getattr(row, name) for row in rows]
        gaps = [
            answer.makespan / row.best - 1
            for answer, row in zip(answers, rows, strict=True)
            if row.best
        ]
        gap = f"{fmean(gaps):.3%}" if gaps else "–"
        as_best = f"{fmean(gap <= 0 for gap in gaps):.1%}" if gaps else "–"
        proven = fmean(answer.proven for answer in answers)
        seconds = fmean(answer.seconds for answer in answers)
        yield f"  {NAMES[name]:14} {proven:8.1%} {gap:>8} {as_best:>8} {seconds:8.3f}"
    yield from _side_by_side(rows)


def _side_by_side(rows: Sequence[Row]) -> Iterator[str]:
    worse = sum(row.ours.makespan > row.bare.makespan for row in rows)
    better = sum(row.ours.makespan < row.bare.makespan for row in rows)
    yield f"  Ours is shorter than the bare model's on {better}, longer on {worse}."
    both = [row for row in rows if row.ours.proven and row.bare.proven]
    if both:
        slow = sum(
            row.ours.seconds > SAME_PROOF * row.bare.seconds + SAME_PROOF_S
            for row in both
        )
        total = sum(r.ours.seconds for r in both) / sum(r.bare.seconds for r in both)
        half = median(row.ours.seconds / row.bare.seconds for row in both)
        yield (
            f"  Time to the same proof, ours ÷ bare: {half:.2f}× (median), {total:.2f}× "
            f"(all together); beyond {SAME_PROOF:g} × + {SAME_PROOF_S * 1000:g} ms on "
            f"{slow} of {len(both)}."
        )


def _rows(
    projects: Mapping[str, Project],
    best: Mapping[str, int],
    names: Sequence[str],
    options: Mapping[str, Any],
    write: Write,
) -> Iterator[Row]:
    told = perf_counter()
    for done, name in enumerate(names):
        if perf_counter() - told > TOLD_EVERY_S:
            told = perf_counter()
            write(f"  {done} of {len(names)}")
        odd = bool(done % 2)  # neither way always comes first
        yield measure(projects[name], best.get(name), options, bare_first=odd)


def _at_once(project: Project) -> Found:
    starts = construct(project)
    return Found(starts, project.makespan(starts), floor(project))


def _answer(project: Project, way: Callable[[], Found]) -> Answer:
    began = perf_counter()
    found = way()
    seconds = perf_counter() - began
    wrong = next(faults(project, found.starts), None)
    if wrong is not None:
        raise CommandError(f"A schedule is wrong: {wrong}.")
    return Answer(found.makespan, found.proven, seconds)
