"""The job list as a file."""

import csv
import io
from datetime import date
from typing import Any

import pytest
from django.urls import reverse
from openpyxl import load_workbook


def export(browser, kind="csv", **asked):
    return browser.get(reverse("jobs:job_export", args=[kind]), asked)


def rows(response):
    return list(csv.DictReader(io.StringIO(response.content.decode("utf-8-sig"))))


def test_the_list_with_iso_dates_and_holds(as_person, oscar, make_job):
    make_job("Patio", wanted_on=date(2026, 9, 4))
    response = export(as_person(oscar))
    (row,) = rows(response)
    assert response.headers["Content-Disposition"] == 'attachment; filename="jobs.csv"'
    assert row["Wanted by"] == "2026-09-04"
    assert row["Suburb"] == "Merrin Vale"
    assert int(row["Holds"]) >= 3
    assert "dimensions are not set" in row["First hold"]


def test_all_pages_of_what_was_asked(as_person, oscar, make_job):
    for n in range(27):
        make_job(f"Patio {n}")
    make_job("Carport")
    browser = as_person(oscar)
    assert len(rows(export(browser))) == 28
    assert [row["Title"] for row in rows(export(browser, q="carport"))] == ["Carport"]


def test_a_lead_gets_their_own(as_person, sal, lou, make_job):
    make_job("Sal's")
    make_job("Lou's", site_lead=lou)
    assert [row["Title"] for row in rows(export(as_person(sal)))] == ["Sal's"]


def test_a_title_is_no_formula(as_person, oscar, make_job):
    make_job("=1+1")
    browser = as_person(oscar)
    assert rows(export(browser))[0]["Title"] == "'=1+1"
    sheet: Any = load_workbook(io.BytesIO(export(browser, "xlsx").content)).active
    assert sheet["B2"].data_type == "s"


@pytest.mark.parametrize("kind", ["pdf", "exe"])
def test_no_other_kinds(as_person, oscar, kind):
    assert as_person(oscar).get(f"/jobs/export.{kind}").status_code == 404
