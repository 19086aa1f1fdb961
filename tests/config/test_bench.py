"""Measurements by name, and the copies that one of them needs."""

from argparse import ArgumentParser
from importlib import import_module

import pytest
from django.db.models import F

from config.bench.many_jobs import OF_A_JOB, multiply
from config.bench.pages import Cost, table
from config.management.commands.bench import BENCHES
from jobs.models import Job, TaskLink
from scheduling.models import CrewSlot, PersonSlot
from tests.world import make_world


@pytest.mark.parametrize("path", BENCHES.values())
def test_every_measurement_says_what_it_compares_and_what_it_asks_for(path):
    bench = import_module(path)
    assert bench.__doc__
    parser = ArgumentParser()
    bench.add_arguments(parser)
    parser.parse_args([])


def test_figures_are_ratios_with_the_queries_beside_them():
    few, many = {"plan": Cost(0.02, 54)}, {"plan": Cost(0.1, 55)}
    *_, row, _ = table(few, many, 500)
    assert row.split() == ["plan", "5.0×", "54,", "55"]


@pytest.mark.django_db
def test_copies_are_whole_and_keep_to_themselves():
    make_world()
    jobs = list(Job.objects.open())
    before = {kind: _rows(kind, way, jobs) for kind, way in OF_A_JOB}
    multiply(jobs, 12)
    assert Job.objects.open().count() == 13 * len(jobs)
    for kind, way in OF_A_JOB:
        every = Job.objects.open()
        assert _rows(kind, way, every) == 13 * before[kind], kind
    astray = TaskLink.objects.exclude(successor__job=F("predecessor__job"))
    assert not astray.exists()
    assert CrewSlot.objects.values("crew", "day", "half").distinct().count() == (
        CrewSlot.objects.count()
    )
    assert (
        PersonSlot.objects.exclude(booking__crew__members__person=F("person")).count()
        == 0
    )


def _rows(kind, way, jobs):
    return kind._default_manager.filter(**{f"{way}__in": jobs}).count()
