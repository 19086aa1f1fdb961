"""The bill of materials: lines, filling from the take-off, what seems missing."""

import pytest
from django.urls import reverse

from jobs.domain.materials import Line, compare
from jobs.domain.takeoff import Piece
from jobs.models import BomLine, LedgerEntry
from jobs.queries.facts import current_take_off
from jobs.queries.materials import bom_lines, missing_from
from jobs.services.materials import add_lines, fill_from_take_off

LINE = {"description": "Roof sheet", "part": "sheet", "quantity": "9", "unit": "each"}


def url(name, thing):
    return reverse(f"jobs:{name}", args=[thing.pk])


@pytest.fixture
def line(job, oscar, now):
    """Nine roof sheets of 3.9 m."""
    values = {"description": "Roof sheet", "part": "sheet", "quantity": 9.0}
    return add_lines(job=job, lines=[values], actor=oscar, at=now)[0]


def test_a_line_is_added(as_person, oscar, job):
    as_person(oscar).post(url("bom_line_add", job), LINE | {"length_m": "3.9"})
    assert BomLine.objects.get().length_m == 3.9
    entry = LedgerEntry.objects.get(verb="job:materials:changed")
    assert "Roof sheet" in entry.payload


@pytest.mark.parametrize(
    ("change", "says"),
    [
        ({"quantity": "0"}, "Make it at least 0"),
        ({"quantity": "many"}, "number"),
        ({"description": ""}, "Fill this in"),
        ({"part": "unobtainium"}, "Choose one from the list"),
        ({"length_m": "90"}, "Make it at most"),
    ],
)
def test_a_line_that_cannot_be(as_person, oscar, job, change, says):
    response = as_person(oscar).post(url("bom_line_add", job), LINE | change)
    assert response.status_code == 422
    assert says in response.text
    assert not BomLine.objects.exists()


def test_a_line_is_changed_and_both_are_kept(as_person, oscar, line):
    as_person(oscar).post(
        url("bom_line_edit", line), LINE | {"quantity": 12, "version": 1}
    )
    line.refresh_from_db()
    assert line.quantity == 12
    entry = LedgerEntry.objects.filter(verb="job:materials:changed").latest("number")
    assert '"quantity":[9,12]' in entry.payload


def test_a_stale_line_is_told(as_person, oscar, line):
    browser, page = as_person(oscar), url("bom_line_edit", line)
    browser.post(page, LINE | {"quantity": 12, "version": 1})
    late = browser.post(page, LINE | {"quantity": 13, "version": 1})
    assert late.status_code == 422
    assert "“12.0”" in late.text


def test_a_line_is_removed(as_person, oscar, line):
    as_person(oscar).post(url("bom_line_remove", line))
    assert not BomLine.objects.exists()


def test_filling_lists_every_piece_once(as_person, oscar, measured):
    browser = as_person(oscar)
    browser.post(url("bom_fill", measured))
    filled = BomLine.objects.count()
    take_off = current_take_off(measured)
    assert take_off is not None
    assert filled == len(take_off.pieces)
    browser.post(url("bom_fill", measured))
    assert BomLine.objects.count() == filled


def test_filling_needs_dimensions(as_person, oscar, job):
    response = as_person(oscar).post(url("bom_fill", job), follow=True)
    assert "Set the dimensions first" in response.text


def test_a_filled_list_misses_nothing(measured, oscar, now):
    fill_from_take_off(job=measured, actor=oscar, at=now)
    found = missing_from(bom_lines(measured), current_take_off(measured))
    assert found is not None
    assert found.missing == ()


def test_what_is_missing_is_listed(as_person, oscar, measured, now):
    fill_from_take_off(job=measured, actor=oscar, at=now)
    measured.bom_lines.filter(part="gutter").delete()
    page = as_person(oscar).get(url("bom_compare", measured)).text
    assert "Gutter" in page
    assert "Seem missing" in page


@pytest.mark.parametrize("name", ["bom", "bom_line_add"])
def test_only_the_office_changes_it(as_person, olive, sal, lou, job, name):
    for person in (olive, sal):
        assert as_person(person).get(url(name, job)).status_code == 403
    assert as_person(lou).get(url(name, job)).status_code == 404


def test_owner_and_lead_may_compare(as_person, olive, sal, measured):
    for person in (olive, sal):
        assert as_person(person).get(url("bom_compare", measured)).status_code == 200


# --- Matching a cutting list with what is listed: pure -----------------------------


def piece(count, length_m, key="purlin"):
    return Piece(key, key.title(), "section", count, length_m, 1.0)


def missing(pieces, lines):
    found = compare(pieces, [Line(*line) for line in lines]).missing
    return {(gap.part, gap.length_m): gap.missing for gap in found}


@pytest.mark.parametrize(
    ("lines", "left"),
    [
        ([("purlin", 4, 3.0)], {}),
        ([("purlin", 3, 3.0)], {("purlin", 3.0): 1}),
        ([("purlin", 2, 6.0)], {}),
        ([("purlin", 2, 5.9)], {("purlin", 3.0): 2}),
        ([("purlin", 4, 2.9)], {("purlin", 3.0): 4}),
        ([("purlin", 4, None)], {}),
        ([("rafter", 4, 3.0)], {("purlin", 3.0): 4}),
        ([], {("purlin", 3.0): 4}),
    ],
)
def test_longer_stock_serves_for_shorter_pieces(lines, left):
    assert missing([piece(4, 3.0)], lines) == left


def test_long_pieces_are_fitted_before_short_ones():
    pieces = [piece(2, 1.0), piece(1, 5.0)]
    assert missing(pieces, [("purlin", 1, 5.0), ("purlin", 1, 2.0)]) == {}


def test_a_millimetre_is_no_gap():
    assert missing([piece(1, 3.001)], [("purlin", 1, 3.0)]) == {}


def test_what_the_take_off_does_not_know_is_named():
    found = compare([piece(1, 3.0)], [Line("purlin", 1, 3.0), Line("widget", 1, None)])
    assert found.unknown == ("widget",)
