"""Jobs come in from a file: looked at first, then all of them or none."""

import re
from datetime import date

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.urls import reverse

from jobs.domain.dimensions import Frame
from jobs.domain.refusals import Refused
from jobs.forms.rows import read_day
from jobs.models import Client, Job, LedgerEntry, Site
from jobs.services.imports import NewJob, import_jobs

URL = "/jobs/import/"
HEAD = "Title,Method,Client,Street and number,Suburb"
GOOD = f"""{HEAD},Site lead,Wanted by,Existing roof,Length m,Projection m,Pitch deg,Clear height m,Frame
Gabled patio,Attached gable,Ines Marlow,9 Quarry Lane,Quarry Flat,Sal Lead,Fri 4 Sep 2026,clay tile,6.8,4.2,20,2.4,
Carport,freestanding_flat,Ines Marlow,9 Quarry Lane,Quarry Flat,sal@testfield.example,4/9/26,,,,,,
"""


@pytest.fixture(autouse=True)
def methods(library, sal):
    """The method library, and a site lead."""


def upload(browser, text, name="jobs.csv"):
    return browser.post(URL, {"file": SimpleUploadedFile(name, text.encode())})


def confirm(browser, looked_at):
    (signed,) = re.findall(r'name="rows" value="([^"]+)"', looked_at.text)
    return browser.post(URL, {"rows": signed})


def faults(response):
    return [str(fault) for fault in response.context["faults"]]


def test_a_look_keeps_nothing(as_person, oscar):
    response = upload(as_person(oscar), GOOD)
    assert response.status_code == 200
    assert "2 rows to bring in" in response.text
    assert "9 Quarry Lane" in response.text
    assert not Job.objects.exists()


def test_after_a_yes_all_are_there(as_person, oscar, sal):
    browser = as_person(oscar)
    confirm(browser, upload(browser, GOOD))
    patio, carport = Job.objects.order_by("number")
    assert (patio.title, patio.structure) == ("Gabled patio", "attached_gable")
    assert patio.wanted_on == carport.wanted_on == date(2026, 9, 4)
    assert patio.site_lead == carport.site_lead == sal
    assert patio.dimensions.length_m == 6.8
    assert not hasattr(carport, "dimensions")
    assert Client.objects.count() == Site.objects.count() == 1
    assert patio.site.existing_roof == "clay_tile"
    assert LedgerEntry.objects.filter(verb="job:job:opened").count() == 2


def test_a_client_and_a_site_that_are_there_are_used(as_person, oscar, site):
    text = f"{HEAD}\nDeck,deck_with_roof,ROWAN WATTLE,8 tamarind close,Merrin Vale\n"
    browser = as_person(oscar)
    confirm(browser, upload(browser, text))
    assert Job.objects.get().site == site


@pytest.mark.parametrize(
    ("row", "fault"),
    [
        (",attached_flat,Ines,9 Lane,Flat", "Row 2, column Title: This is empty."),
        ("Patio,castle,Ines,9 Lane,Flat", "Row 2, column Method: There is no method"),
        ("Patio,,Ines,9 Lane,Flat", "Row 2, column Method: This is empty."),
        ("Patio,attached_flat,Ines,,Flat", "Row 2, column Street and number: This"),
    ],
)
def test_each_fault_names_row_column_and_cure(as_person, oscar, row, fault):
    response = upload(as_person(oscar), f"{HEAD}\n{row}\n")
    assert response.status_code == 422
    assert any(text.startswith(fault) for text in faults(response))


@pytest.mark.parametrize(
    ("column", "value", "says"),
    [
        ("Wanted by", "8/13/2026", "There is no month 13: the day comes first."),
        ("Wanted by", "46237", "is no date. Write it like 3 Aug 2026"),
        ("Promised by", "31/2/2026", "There is no such day."),
        ("Site lead", "Nobody Known", "Site leads are: Sal Lead."),
        ("Client email", "not-one", "This is no email."),
        ("Existing roof", "thatch", "Choose one of: No existing roof"),
        ("Drive minutes", "far", "is no number. Write it like 4.2."),
        ("Length m", "6.8", "together"),
        ("Frame", "bamboo", "There is no frame"),
    ],
)
def test_optional_columns_are_read_with_care(as_person, oscar, column, value, says):
    text = f"{HEAD},{column}\nPatio,attached_flat,Ines,9 Lane,Flat,{value}\n"
    response = upload(as_person(oscar), text)
    assert response.status_code == 422
    assert any(says in fault for fault in faults(response))


def test_dimensions_are_checked_as_on_the_page(as_person, oscar):
    head = f"{HEAD},Length m,Projection m,Pitch deg,Clear height m"
    text = f"{head}\nPatio,attached_flat,Ines,9 Lane,Flat,60,3,5,2.4\n"
    (fault,) = faults(upload(as_person(oscar), text))
    assert fault.startswith("Row 2, column Length m: Length is 60 m;")


def test_one_bad_row_stops_all(as_person, oscar):
    response = upload(as_person(oscar), f"{GOOD}Shed,castle,X,1 Lane,Flat,,,,,,,,\n")
    assert faults(response)[0].startswith("Row 4")
    assert "Bring all of them in" not in response.text


def test_the_same_job_twice_in_a_file(as_person, oscar):
    row = "Patio,attached_flat,Ines,9 Lane,Flat"
    (fault,) = faults(
        upload(
            as_person(oscar),
            f"{HEAD}\n{row}\n{row.upper()}\n".replace("ATTACHED_FLAT", "attached_flat"),
        )
    )
    assert "the same job as in row 2" in fault


def test_the_same_file_twice_opens_nothing_twice(as_person, oscar):
    browser = as_person(oscar)
    confirm(browser, upload(browser, GOOD))
    again = confirm(browser, upload(browser, GOOD))
    assert again.status_code == 422
    assert "Row 2: Job 1001 is open there already." in again.text
    assert Job.objects.count() == 2


def test_nothing_is_half_imported(oscar, now, client_of_firm):
    rows = [
        NewJob(2, "Fine", "attached_flat", "Ines", "9 Lane", "Flat"),
        NewJob(3, "Not fine", "castle", "Nobody", "1 Lane", "Flat"),
    ]
    with pytest.raises(Refused, match="Row 3: There is no method"):
        import_jobs(jobs=rows, state="au-nsw", actor=oscar, at=now)
    assert not Job.objects.exists()
    assert Client.objects.count() == 1


def test_two_clients_of_one_name_are_told_apart_by_email(oscar, now, client_of_firm):
    Client.objects.create(name="Rowan Wattle", email="other@x.example")
    row = NewJob(2, "Patio", "attached_flat", "Rowan Wattle", "9 Lane", "Flat")
    with pytest.raises(Refused, match="Add the email"):
        import_jobs(jobs=[row], state="au-nsw", actor=oscar, at=now)


def test_timber_frames_get_timber_sections(as_person, oscar):
    browser = as_person(oscar)
    confirm(browser, upload(browser, GOOD.replace(",2.4,\n", ",2.4,timber\n")))
    dims = Job.objects.get(title="Gabled patio").dimensions.plain()
    assert dims.frame is Frame.TIMBER
    assert dims.rafter_section.startswith("rafter_timber")


def test_rows_nobody_looked_at_are_refused(as_person, oscar, olive):
    browser = as_person(oscar)
    looked_at = upload(browser, GOOD)
    forged = browser.post(URL, {"rows": "forged"})
    assert forged.status_code == 422
    olive.is_office = True
    olive.save(update_fields=["is_office"])
    assert confirm(as_person(olive), looked_at).status_code == 422
    assert not Job.objects.exists()


def test_no_file_at_all(as_person, oscar):
    assert as_person(oscar).post(URL, {}).status_code == 422


@pytest.mark.parametrize("kind", ["csv", "xlsx"])
def test_the_template_comes_in_as_it_goes_out(as_person, oscar, kind):
    browser = as_person(oscar)
    template = browser.get(reverse("jobs:job_import_template", args=[kind]))
    assert f'filename="jobs.{kind}"' in template.headers["Content-Disposition"]
    file = SimpleUploadedFile(f"x.{kind}", template.content)
    response = browser.post(URL, {"file": file})
    assert "There are no rows under the names" in response.text


@pytest.mark.parametrize("who", ["olive", "sal", "cam"])
def test_nobody_else_brings_jobs_in(as_person, request, who):
    browser = as_person(request.getfixturevalue(who))
    assert browser.get(URL).status_code == 403
    template = reverse("jobs:job_import_template", args=["csv"])
    assert browser.get(template).status_code == 403


@pytest.mark.parametrize(
    "text",
    [
        "2026-08-03",
        "2026-08-03T00:00:00",
        "3/8/2026",
        "03/08/26",
        "3.8.2026",
        "3-8-2026",
        "3 Aug 2026",
        "3 August 2026",
        "3rd aug 26",
        "Mon 3 Aug 2026",
        "Monday, 3 August 2026",
        "3-Aug-2026",
    ],
)
def test_dates_as_people_write_them(text):
    assert read_day(text) == date(2026, 8, 3)


@pytest.mark.parametrize(
    "text", ["soon", "2026", "Aug 2026", "32/1/2026", "3 Foo 2026"]
)
def test_what_is_no_date(text):
    with pytest.raises(ValueError, match="Write it like"):
        read_day(text)
