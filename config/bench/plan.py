"""Our schedule against the rule an office uses: earliest promised date, first free crew.

On invented firms of three sizes. Cost is weighted lateness and travel; a time is the
whole wait, from the records to the bookings.
"""

from argparse import ArgumentParser
from collections.abc import Iterator, Mapping, Sequence
from typing import Any

from config.bench.firms import FAMILIES, Compared, Write, compare, proof, share
from scheduling.domain.random_firms import FirmSize

SIZES = ((20, 3, 2.0), (60, 6, 8.0), (200, 12, 20.0))  # jobs, crews, seconds

Row = tuple[int, int, Compared]


def add_arguments(parser: ArgumentParser) -> None:
    """Which firms, and for how long."""
    parser.add_argument("--seed", type=int, default=1, help="of firms and engine")
    parser.add_argument(
        "--speed", type=float, default=1.0, help="times quicker than usual"
    )


def run(options: Mapping[str, Any], write: Write) -> None:
    """Plan each firm three ways and print a row for it."""
    rows: list[Row] = []
    for jobs, crews, usual in SIZES:
        seconds = usual / options["speed"]
        write(f"{jobs} jobs, {crews} crews, {seconds:g} s …")
        family = FAMILIES["busy"]
        problem = family.make(FirmSize(jobs, crews, family.load), options["seed"])
        found = compare(problem, seconds, options["seed"], write)
        rows.append((jobs, crews, found))
    for line in table(rows):
        write(line)


def table(rows: Sequence[Row]) -> Iterator[str]:
    """The figures as lines: a head, a row a firm, a foot."""
    yield ""
    yield f"{'':20} {'cost of':>9} {'cost of':>9} {'late,':>9} {'time,':>9}"
    yield (
        f"{'jobs, crews':20} {'office':>9} {'best fast':>9} {'ours ÷':>9} {'ours ÷':>9}"
    )
    yield f"{'':20} {'÷ ours':>9} {'÷ ours':>9} {'office':>9} {'office':>9}"
    for jobs, crews, found in rows:
        office, fast, ours = found.office, found.fast, found.ours
        yield (
            f"{f'{jobs}, {crews}':20} {office.cost / ours.cost:8.2f}× "
            f"{fast.cost / ours.cost:8.2f}× {share(ours.late, office.late):>9} "
            f"{ours.seconds / office.seconds:8.0f}×   {proof(found.solution)}"
        )
    yield ""
    yield "Office: earliest promised date first, to the crew that is done with it first."
    yield "Best fast: the best of the rules our search begins with."
