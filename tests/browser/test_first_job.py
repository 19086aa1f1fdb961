"""The main job, once from end to end, as the people of a firm do it in their browsers."""

import io
import re
import sys
from datetime import UTC, datetime
from typing import Any

import pypdf
import pytest
import vobject

from tests.browser.looking_on import (
    look_at_compliance,
    see_the_no_go,
    work_without_scripts,
)
from tests.browser.office_day import (
    CREW,
    JOB,
    LEAD,
    OFFICE,
    OWNER,
    PASSWORD,
    add,
    get_it_approved,
    issue_the_statement,
    make_a_calendar,
    make_the_pdf,
    open_a_job,
    order_the_load,
    plan_it,
    put_a_crew_together,
    set_the_firm_up,
    take_people_on,
    take_the_link,
)
from tests.browser.serving import served
from tests.browser.site_day import (
    check_the_load_in,
    collect_sign_on,
    do_the_work,
    say_go,
    say_no_go,
    sign_on_with_own_login,
    square_it,
)
from tests.browser.visitor import DESK, PHONE, Screens
from tests.chromium import launched

MONDAY = datetime(2026, 8, 2, 20, 30, tzinfo=UTC)  # 3 August, half past six in Sydney

pytestmark = [
    pytest.mark.browser,
    pytest.mark.skipif(sys.platform == "win32", reason="gunicorn needs Unix"),
]


@pytest.fixture
def firm(tmp_path):
    """An empty installation, served on a Monday morning."""
    with served(tmp_path) as found:
        found.start(MONDAY)
        yield found


@pytest.fixture
def screens(firm):
    with launched() as browser:
        yield Screens(browser, firm.url)


def test_a_job_from_the_first_call_to_the_first_day_on_site(firm, screens, tmp_path):
    owner_and_people(screens, firm)
    pdf, address = office_plans(screens, tmp_path)
    reads_as_pdf(pdf)
    reads_as_calendar(firm.read(address))
    crew_works(screens, firm)
    owner_looks(screens, firm)
    without_scripts(screens)
    assert screens.watch.wrong == []
    assert len(screens.watch.looked_at) > 40


def owner_and_people(screens, firm):
    """The owner sets the firm up and takes the office on, which takes on the others."""
    with screens.open(DESK) as owner:
        set_the_firm_up(owner)
        add(owner, "Otto Office", OFFICE, "Office")
    with screens.open(DESK) as office:
        take_the_link(office, firm, OFFICE)
        take_people_on(office)
        put_a_crew_together(office)


def office_plans(screens, folder):
    """From a new client to a published plan, an issued statement, a PDF and a calendar."""
    paper = folder / "certificate.pdf"
    paper.write_bytes(b"%PDF-1.7\n%%EOF\n")
    with screens.open(DESK) as office:
        office.log_in(OFFICE, PASSWORD)
        open_a_job(office)
        get_it_approved(office, paper)
        order_the_load(office, "2026-08-03")
        plan_it(office)
        issue_the_statement(office)
        return make_the_pdf(office), make_a_calendar(office)


def reads_as_pdf(raw):
    """By a reader that is not the one that made it: tagged, in a language, of this job."""
    reader = pypdf.PdfReader(io.BytesIO(raw))
    root: Any = reader.root_object
    assert root["/MarkInfo"]["/Marked"]
    assert root["/Lang"].startswith("en")
    text = " ".join(page.extract_text() for page in reader.pages[:3])
    assert "8 Tamarind Close" in re.sub(r"\s+", " ", text)


def reads_as_calendar(raw):
    """By a reader that is not the one that made it: the crew's days on the job."""
    (calendar,) = vobject.readComponents(raw.decode())
    days = {
        event.dtstart.value.date().isoformat()
        for event in calendar.vevent_list
        if event.summary.value.startswith(JOB)
    }
    assert days >= {"2026-08-03", "2026-08-04"}


def crew_works(screens, firm):
    """On phones: the load, the sign-on, no go and go, the hold point, the work."""
    with screens.open(PHONE) as crew:
        take_the_link(crew, firm, CREW)
        sign_on_with_own_login(crew)
    with screens.open(PHONE) as lead, screens.open(DESK) as office:
        take_the_link(lead, firm, LEAD)
        check_the_load_in(lead)
        collect_sign_on(lead)
        say_no_go(lead)
        office.log_in(OFFICE, PASSWORD)
        see_the_no_go(office)
        say_go(lead)
        square_it(lead)
        do_the_work(lead)


def owner_looks(screens, firm):
    """At compliance and the ledger, which holds."""
    with screens.open(DESK) as owner:
        owner.log_in(OWNER, PASSWORD)
        look_at_compliance(owner)
    assert "The ledger holds" in firm.place.manage("verify")


def without_scripts(screens):
    """The key pages once more, in a browser that runs none."""
    with screens.open(DESK, java_script_enabled=False) as office:
        office.log_in(OFFICE, PASSWORD)
        work_without_scripts(office)
