"""One firm in depth: its plan, what a bad Monday moves, one late job, what we say to it.

Against the office's rule for the plan, and against pushing everything right when things
go wrong. Cost is weighted lateness and travel.
"""

from argparse import ArgumentParser
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from statistics import geometric_mean
from typing import Any

from config.bench.answers import Answers, ask
from config.bench.firms import FAMILIES, Compared, Write, compare, proof, share
from config.bench.mending import Delay, Mended, delays, mended, pushed
from scheduling.domain.disruptions import disrupted
from scheduling.domain.problem import Problem
from scheduling.domain.random_firms import FirmSize


@dataclass(frozen=True, slots=True)
class Depth:
    """All that is found out about one firm."""

    plan: Compared
    pushed: Mended
    mended: Mended
    delays: tuple[Delay, ...]
    answers: Answers


def add_arguments(parser: ArgumentParser) -> None:
    """Which firms, and for how long."""
    parser.add_argument("--jobs", type=int, default=20)
    parser.add_argument("--crews", type=int, default=3)
    parser.add_argument("--seconds", type=float, default=2.0, help="for the plan")
    parser.add_argument("--seed", type=int, default=1, help="of the first firm")
    parser.add_argument("--firms", type=int, default=1, help="so many seeds in turn")
    parser.add_argument("--mend", type=float, default=2.0, help="seconds for mending")
    parser.add_argument("--delays", type=int, default=3, help="jobs delayed in turn")
    parser.add_argument("--family", choices=FAMILIES, default="busy")
    parser.add_argument("--load", type=float, help="how densely jobs come in")


def run(options: Mapping[str, Any], write: Write) -> None:
    """Plan each firm, let things go wrong, and print what came of it."""
    family = FAMILIES[options["family"]]
    size = FirmSize(options["jobs"], options["crews"], options["load"] or family.load)
    found = []
    for seed in range(options["seed"], options["seed"] + options["firms"]):
        write(f"{size.jobs} jobs, {size.crews} crews, seed {seed} …")
        found.append(depth(family.make(size, seed), seed, options, write))
        for line in lines(found[-1]):
            write(line)
    if len(found) > 1:
        for line in together(found):
            write(line)


def depth(
    problem: Problem, seed: int, options: Mapping[str, Any], write: Write
) -> Depth:
    """Measure one firm."""
    plan = compare(problem, options["seconds"], seed, write)
    booked = plan.solution.bookings
    wrong = disrupted(problem, booked, seed)
    return Depth(
        plan=plan,
        pushed=pushed(wrong),
        mended=mended(wrong, options["mend"], seed),
        delays=tuple(delays(problem, booked, seed, options["mend"], options["delays"])),
        answers=ask(problem, booked, seed),
    )


def lines(found: Depth) -> Iterator[str]:
    """What was found of one firm."""
    office, ours = found.plan.office, found.plan.ours
    yield (
        f"  plan: office ÷ ours {office.cost / ours.cost:.2f}×, best fast rule ÷ ours "
        f"{found.plan.fast.cost / ours.cost:.2f}×, late {share(ours.late, office.late)}, "
        f"travel {share(ours.travel, office.travel)} of the office's; "
        f"{proof(found.plan.solution)}, {ours.seconds:.1f} s"
    )
    yield (
        f"  rain, a crew lost, deliveries slipped: {share(*_moves(found))} of the moved "
        f"visits and {share(*_costs(found))} of the cost of pushing everything right, "
        f"{found.mended.figures.seconds:.1f} s"
    )
    moved = ", ".join(map(str, found.delays)) or "–"
    yield f"  one job delayed: other jobs that move: {moved}"
    yield (
        f"  why not then? 95 of 100 answers within {found.answers.slow_ms:.2f} ms; the "
        f"solver agrees {found.answers.agreed} times of {found.answers.verdicts}"
    )


def together(found: Sequence[Depth]) -> Iterator[str]:
    """All firms as one, by geometric means."""
    ratios = [f.plan.office.cost / f.plan.ours.cost for f in found]
    proven = sum(f.plan.solution.proven for f in found)
    late = sum(f.plan.ours.late for f in found), sum(f.plan.office.late for f in found)
    yield ""
    yield (
        f"{len(found)} firms: office ÷ ours {geometric_mean(ratios):.2f}× (geometric "
        f"mean), never below {min(ratios):.2f}×; late {share(*late)} of the office's; "
        f"{proven} proven best"
    )
    moves, costs = [_moves(f) for f in found], [_costs(f) for f in found]
    yield (
        f"mended: {share(sum(m for m, _ in moves), sum(p for _, p in moves))} of the "
        f"moved visits, {share(sum(m for m, _ in costs), sum(p for _, p in costs))} of "
        f"the cost of pushing everything right"
    )


def _moves(found: Depth) -> tuple[int, int]:
    return found.mended.moved, found.pushed.moved


def _costs(found: Depth) -> tuple[int, int]:
    return found.mended.figures.cost, found.pushed.figures.cost
