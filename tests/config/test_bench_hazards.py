"""What the measurement of hazard plans and prints compares."""

from collections import Counter

import pikepdf
import pytest

from config.bench.hazards import (
    PlanCost,
    PrintCost,
    in_turn,
    plan_cost,
    repeated,
    table,
    with_files,
)
from jobs.documents import plain_pdf_bytes
from tests.safety.domain.conftest import ON
from tests.safety.domain.jobs import PATIO
from tests.safety.domain.rules import rule_book


def test_tasks_of_a_larger_job_are_the_same_ones_under_keys_of_their_own():
    tasks = repeated(PATIO.tasks, 3 * len(PATIO.tasks))
    assert set(Counter(task.kind for task in tasks).values()) == {3}
    assert len({task.key for task in tasks}) == len(tasks)
    assert [task.position for task in tasks] == [*range(1, len(tasks) + 1)]


def test_a_tiny_run_measures_each_size():
    cost = plan_cost(PATIO, rule_book(), ON, 1)
    assert min(cost.few, cost.usual, cost.many) > 0
    assert cost.plans_a_second == pytest.approx(1 / (25 * cost.usual))


def test_figures_are_ratios_of_one_run():
    plans, prints = PlanCost(0.002, 0.0025, 0.003), PrintCost(6.0, 4.0)
    lines = [line.split() for line in table(plans, prints)]
    assert [line[-1] for line in lines[:4]] == ["16", "1.50×", "1.20×", "1.50×"]


def test_ways_take_turns_and_the_first_turn_is_not_counted():
    done = []
    taken = in_turn((lambda: done.append("a"), lambda: done.append("b")), 2)
    assert "".join(done) == "ababab"
    assert len(taken) == 2


def test_the_plain_print_has_our_fonts_and_no_tags(tmp_path):
    face = "@font-face { font-family: Ours; src: url(/static/fonts/SourceSansPro-Bold.ttf) }"
    page = with_files(f"<style>{face} p {{ font-family: Ours }}</style><p>Roof</p>")
    assert "/static/" not in page
    path = tmp_path / "plain.pdf"
    path.write_bytes(plain_pdf_bytes(page))
    pdf = pikepdf.open(path)
    (font,) = pdf.pages[0].Resources.Font.values()
    assert "Ours" in str(font.BaseFont)
    assert "/StructTreeRoot" not in pdf.Root
