"""Estimates that weigh a group's own figures against all, against published examples."""

import pytest

from jobs.domain.credibility import (
    collective_mean,
    shrunk,
    unbiased_structure,
)

NO_PRIOR = 1e9  # a known mean that pulls at nothing


def figures(text):
    """A group a line."""
    lines = text.strip().splitlines()
    return {str(n): [float(x) for x in line.split()] for n, line in enumerate(lines)}


# C. A. Hachemeister, "Credibility for regression models with application to trend", in:
# Credibility: Theory and Applications, Academic Press 1975: average claims of five states
# over twelve quarters (remembered; the first quarters read in a secondary copy).
HACHEMEISTER = figures("""
1738 1642 1794 2051 2079 2234 2032 2035 2115 2262 2267 2517
1364 1408 1597 1444 1342 1675 1470 1448 1464 1831 1612 1471
1759 1685 1479 1763 1674 2103 1502 1622 1828 2155 2233 2059
1223 1146 1010 1257 1426 1532 1953 1123 1343 1243 1762 1306
1456 1499 1609 1741 1482 1572 1606 1735 1607 1573 1613 1690
""")

# R. R. Sokal and F. J. Rohlf, "Biometry", box 9.1: widths of the shields of ticks from
# four rabbits, micrometres; groups of unequal size (remembered).
TICKS = figures("""
380 376 360 368 372 366 374 382
350 356 358 376 338 342 366 350 344 364
354 360 362 352 366 372 362 344 342 358 351 348 348
376 344 342 372 374 360
""")


def test_five_states_by_buhlmann_s_model():
    """As V. Goulet's package for R prints it, without weights (remembered)."""
    structure = unbiased_structure(HACHEMEISTER)
    assert structure.within == pytest.approx(46_040.47, abs=0.005)
    assert structure.between == pytest.approx(72_310.02, abs=0.005)
    collective = collective_mean(HACHEMEISTER, structure, NO_PRIOR)
    assert collective == pytest.approx(1671.017, abs=0.0005)
    state = shrunk(HACHEMEISTER["0"], structure, collective)
    assert state.trust == pytest.approx(0.9496, abs=0.00005)
    assert state.estimate == pytest.approx(2044.0, abs=0.1)


def test_groups_of_unequal_size_have_the_variances_printed():
    structure = unbiased_structure(TICKS)
    assert structure.within == pytest.approx(114.5, abs=0.05)
    assert structure.between == pytest.approx(54.19, abs=0.05)


def test_with_enough_figures_a_group_goes_its_own_way():
    """Z = n ÷ (n + k), k = within ÷ between, as every textbook has it."""
    structure = unbiased_structure(TICKS)
    k = structure.within / structure.between
    for row in TICKS.values():
        trust = shrunk(row, structure, 0).trust
        assert trust == pytest.approx(len(row) / (len(row) + k))
