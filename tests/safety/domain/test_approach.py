"""Distances from an overhead line by its voltage."""

from dataclasses import replace
from datetime import date

import pytest

from safety.domain.approach import at_voltage
from safety.domain.engine import hazard_plan
from tests.safety.domain.jobs import SITE, job, task
from tests.safety.domain.rules import packs, rule_book

ON = date(2026, 8, 10)
NO_GO = "electrical.overhead_no_go"


def line_over(place, distance_m, voltage_kv):
    site = replace(
        SITE,
        overhead_line=True,
        overhead_line_distance_m=distance_m,
        overhead_line_kv=voltage_kv,
    )
    facts = job(task("lay_sheets", height=2.7), site=site)
    return hazard_plan(facts, rule_book(place), ON).line("lay_sheets/overhead_line")


@pytest.mark.parametrize(("voltage_kv", "likelihood"), [(11, 4), (220, 5), (None, 5)])
def test_five_metres_are_enough_for_a_street_line_only(voltage_kv, likelihood):
    assert line_over("au-nsw", 5.0, voltage_kv).initial.likelihood == likelihood


def test_the_plan_names_the_distance_for_the_voltage():
    line = line_over("au-nsw", 9.0, 220)
    assert "nearer to it than 6 m, at 220 kV" in line.why.replace("\xa0", " ")
    marker = next(c for c in line.controls if c.key == "line_marker")
    assert "6 m" in marker.text.replace("\xa0", " ")


def test_a_voltage_that_nobody_knows_takes_the_widest_distance_and_says_so():
    line = line_over("au-vic", 7.0, None)
    why = line.why.replace("\xa0", " ")
    assert "Nobody has found out its voltage" in why
    assert "8 m" in why


def test_a_place_without_bands_has_one_distance():
    pack = packs()["au-tas"]
    assert at_voltage(pack, 400, ON) is pack


def test_a_band_keeps_its_own_source():
    value = at_voltage(packs()["us"], 69, ON).value(NO_GO, ON)
    assert value.key == NO_GO
    assert "Table A" in value.source.cite()


def test_bands_of_a_place_rise_with_the_voltage():
    for key, pack in packs().items():
        tiers = [at_voltage(pack, kv, ON).value(NO_GO, ON).number for kv in range(900)]
        assert tiers == sorted(tiers), key
