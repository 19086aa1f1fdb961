"""The critical path and three-point estimates against published worked examples."""

import networkx
import pytest

from scheduling.domain.network import Precedence, critical_path
from scheduling.domain.pert import ThreePoint, chance_within

# Fourteen activities, a worked answer with all early and late times, in days. Secondary
# copy, read; every figure computed again. Best, likely and worst duration; what has to
# be done first; then early start and finish, late start and finish as printed.
FOURTEEN = {
    "A": ((5, 5, 7), "", (0, 5.33, 0, 5.33)),
    "B": ((1, 2, 5), "", (0, 2.33, 8.00, 10.33)),
    "C": ((5, 5, 5), "A", (5.33, 10.33, 5.33, 10.33)),
    "D": ((4, 8, 13), "A", (5.33, 13.50, 7.17, 15.33)),
    "E": ((1, 10, 17), "BC", (10.33, 20.00, 10.33, 20.00)),
    "F": ((1, 5, 7), "D", (13.50, 18.17, 15.33, 20.00)),
    "G": ((2, 6, 9), "D", (13.50, 19.33, 18.50, 24.33)),
    "H": ((4, 4, 6), "EF", (20.00, 24.33, 20.00, 24.33)),
    "I": ((2, 7, 10), "GH", (24.33, 31.00, 24.33, 31.00)),
    "J": ((2, 4, 7), "I", (31.00, 35.17, 33.50, 37.67)),
    "K": ((6, 10, 13), "I", (31.00, 40.83, 31.00, 40.83)),
    "L": ((2, 6, 6), "J", (35.17, 40.50, 37.67, 43.00)),
    "M": ((2, 2, 3), "K", (40.83, 43.00, 40.83, 43.00)),
    "N": ((7, 7, 12), "LM", (43.00, 50.83, 43.00, 50.83)),
}

# Eight activities of a standard operations management textbook, in weeks. Remembered;
# computed again.
EIGHT = {
    "A": ((1, 2, 3), "", (0, 2, 0, 2)),
    "B": ((2, 3, 4), "", (0, 3, 1, 4)),
    "C": ((1, 2, 3), "A", (2, 4, 2, 4)),
    "D": ((2, 4, 6), "AB", (3, 7, 4, 8)),
    "E": ((1, 4, 7), "C", (4, 8, 4, 8)),
    "F": ((1, 2, 9), "C", (4, 7, 10, 13)),
    "G": ((3, 4, 11), "DE", (8, 13, 8, 13)),
    "H": ((1, 2, 3), "FG", (13, 15, 13, 15)),
}


def solved(table):
    links = [Precedence(b, a) for a, (_, before, _) in table.items() for b in before]
    means = {key: ThreePoint(*points).mean for key, (points, _, _) in table.items()}
    return critical_path(means, links)


@pytest.mark.parametrize(
    ("table", "key"), [(t, k) for t in (FOURTEEN, EIGHT) for k in t]
)
def test_early_and_late_times_of_every_activity(table, key):
    times = solved(table).times[key]
    found = (
        times.early_start,
        times.early_finish,
        times.late_start,
        times.late_finish,
    )
    assert found == pytest.approx(table[key][2], abs=0.006)


@pytest.mark.parametrize(
    ("table", "length", "chain"),
    [(FOURTEEN, 50.83, "ACEHIKMN"), (EIGHT, 15, "ACEGH")],
)
def test_length_and_critical_chain(table, length, chain):
    path = solved(table)
    assert path.length == pytest.approx(length, abs=0.006)
    assert "".join(path.chain) == chain


@pytest.mark.parametrize("table", [FOURTEEN, EIGHT])
def test_a_graph_library_finds_the_same_length(table):
    graph = networkx.DiGraph()
    for key, (points, before, _) in table.items():
        graph.add_node(key)
        for other in before:
            mean = ThreePoint(*table[other][0]).mean
            graph.add_edge(other, key, weight=mean)
        graph.add_edge(key, "end", weight=ThreePoint(*points).mean)
    assert networkx.dag_longest_path_length(graph) == pytest.approx(
        solved(table).length
    )


@pytest.mark.parametrize(
    ("table", "variance", "limit", "chance"),
    # 0.8944 and 0.7157 are printed, from tables with z rounded to two places.
    [(FOURTEEN, 11.194, 55, 0.8935), (EIGHT, 3.111, 16, 0.7146)],
)
def test_chance_of_keeping_a_date(table, variance, limit, chance):
    chain = [ThreePoint(*table[key][0]) for key in solved(table).chain]
    assert sum(point.variance for point in chain) == pytest.approx(variance, abs=0.001)
    assert chance_within(limit, chain) == pytest.approx(chance, abs=0.0002)
