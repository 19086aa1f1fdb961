"""Materials come in from a file, and go out as one that can come in again."""

import re

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.urls import reverse

from jobs.models import BomLine, Job
from jobs.services.materials import add_lines, fill_from_take_off

GOOD = "Description,Part,Quantity,Unit,Length m\nRoof sheet,Roof sheet,9,,3.9\nScrews,,1200,each,\n"


@pytest.fixture
def url(job):
    """Where materials of the job come in."""
    return reverse("jobs:bom_import", args=[job.pk])


def upload(browser, url, text):
    return browser.post(url, {"file": SimpleUploadedFile("bom.csv", text.encode())})


def confirm(browser, url, looked_at):
    (signed,) = re.findall(r'name="rows" value="([^"]+)"', looked_at.text)
    return browser.post(url, {"rows": signed})


def test_lines_are_added_after_a_look(as_person, oscar, url, job):
    browser = as_person(oscar)
    looked_at = upload(browser, url, GOOD)
    assert not BomLine.objects.exists()
    confirm(browser, url, looked_at)
    sheet, screws = job.bom_lines.all()
    assert (sheet.part, sheet.unit, sheet.length_m) == ("sheet", "each", 3.9)
    assert (screws.part, screws.quantity) == ("", 1200)


def test_lines_that_are_there_stay(as_person, oscar, url, job, now):
    values = {"description": "Beam", "quantity": 1.0}
    add_lines(job=job, lines=[values], actor=oscar, at=now)
    browser = as_person(oscar)
    confirm(browser, url, upload(browser, url, GOOD))
    assert [line.position for line in job.bom_lines.all()] == [1, 2, 3]


@pytest.mark.parametrize(
    ("row", "says"),
    [
        ("Sheet,roof,9,,", "There is no part “roof”"),
        ("Sheet,,none,,", "is no number"),
        ("Sheet,,0,,", "Make it between"),
        (",,9,,", "This is empty"),
        ("Sheet,,,,", "This is empty"),
        ("Sheet,,9,,99", "Make it between"),
        ('Sheet,,"1,200",,', "may mean 1200 or 1.2"),
    ],
)
def test_faults_name_the_row(as_person, oscar, url, row, says):
    text = f"Description,Part,Quantity,Unit,Length m\n{row}\n"
    response = upload(as_person(oscar), url, text)
    assert response.status_code == 422
    assert any(
        fault.row == 2 and says in fault.says for fault in response.context["faults"]
    )


def test_rows_for_one_job_do_not_fit_another(as_person, oscar, url, make_job):
    browser = as_person(oscar)
    looked_at = upload(browser, url, GOOD)
    other = reverse("jobs:bom_import", args=[make_job("Other").pk])
    assert confirm(browser, other, looked_at).status_code == 422
    assert not BomLine.objects.exists()


@pytest.mark.parametrize("kind", ["csv", "xlsx"])
def test_what_goes_out_comes_in_again(as_person, oscar, measured, make_job, now, kind):
    fill_from_take_off(job=measured, actor=oscar, at=now)
    browser = as_person(oscar)
    out = browser.get(reverse("jobs:bom_export", args=[measured.pk, kind]))
    url = reverse("jobs:bom_import", args=[make_job("Twin").pk])
    file = SimpleUploadedFile(f"x.{kind}", out.content)
    looked_at = browser.post(url, {"file": file})
    confirm(browser, url, looked_at)

    def lines(job):
        return list(
            job.bom_lines.values_list("description", "part", "quantity", "length_m")
        )

    assert lines(measured) == lines(Job.objects.get(title="Twin"))


def test_only_the_office_brings_materials_in(as_person, olive, sal, lou, url):
    assert as_person(olive).get(url).status_code == 403
    assert as_person(sal).get(url).status_code == 403
    assert as_person(lou).get(url).status_code == 404


def test_a_template_for_it(as_person, oscar, sal):
    template = reverse("jobs:bom_import_template", args=["csv"])
    text = as_person(oscar).get(template).content.decode("utf-8-sig")
    assert text.startswith("Description,Part,Quantity,Unit,Length m,Code,Note")
    assert as_person(sal).get(template).status_code == 403
