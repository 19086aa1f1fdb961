"""Friday at the office: from an empty installation to a published, signed-off plan."""

import re
from pathlib import Path

from tests.browser.serving import Served
from tests.browser.visitor import Visitor

PASSWORD = "Gum-tree-lane-9"
OWNER, OFFICE = "olga@ownfirm.example", "otto@ownfirm.example"
JOB = "1001 Patio over the slab"
LEAD, CREW = "lena@ownfirm.example", "carl@ownfirm.example"


def set_the_firm_up(owner: Visitor) -> None:
    """The first page of an empty installation asks for the firm and its owner."""
    owner.go("/")
    owner.type("Name of the firm", "Ownfirm Patios")
    owner.type("Your full name", "Olga Owner")
    owner.type("Your email", OWNER)
    owner.type("A password", PASSWORD)
    owner.type("The same password again", PASSWORD)
    owner.press("Set the firm up")
    owner.sees("Ownfirm Patios is set up. Next: add your people.")


def add(visitor: Visitor, name: str, email: str, *roles: str) -> None:
    """Add somebody; who has an email gets a link to set a password."""
    visitor.go("/people/add/")
    visitor.type("Full name", name)
    visitor.type("Email (optional)", email)
    for role in roles:
        visitor.tick(re.compile(f"^{role}"))
    visitor.press("Add this person")
    visitor.sees(f"{name} is added.")


def take_the_link(somebody: Visitor, served: Served, email: str) -> None:
    """Set a password through the link in the mail, and go in."""
    somebody.go(served.link_in_mail(email))
    somebody.type("New password", PASSWORD)
    somebody.type("New password confirmation", PASSWORD)
    somebody.press("Set the password")
    somebody.log_in(email, PASSWORD)


def take_people_on(office: Visitor) -> None:
    """A site lead, a crew member with a login and one without, and what they hold."""
    add(office, "Lena Lead", LEAD, "Site lead", "Crew member")
    for kind in TICKETS:
        office.follow("Add a ticket")
        office.choose("What it is", kind)
        office.type("Issued on", "2026-06-01")
        office.press("Record the ticket")
        office.sees("The ticket of Lena Lead is recorded.")
    add(office, "Carl Crew", CREW, "Crew member")
    add(office, "Kit Crew", "", "Crew member")


def put_a_crew_together(office: Visitor) -> None:
    """All three in one crew."""
    office.go("/crews/add/")
    office.type("Name", "Bluegum crew")
    office.choose("Lead", "Lena Lead")
    office.press("Save")
    for name in ("Lena Lead", "Carl Crew", "Kit Crew"):
        office.follow("Put somebody in")
        office.choose("Who", name)
        office.press("Put them in the crew")
        office.sees(f"{name} is in Bluegum crew.")


def open_a_job(office: Visitor) -> None:
    """A client, the facts of the site, and a job there with its dimensions."""
    office.go("/clients/add/")
    office.type("Name", "Rita Resident")
    office.type("Phone", "(02) 5550 0123")
    office.press("Save")
    office.follow("Add a site")
    for label, value in SITE.items():
        office.type(label, value)
    for question, answer in KNOWN.items():
        office.answer(question, answer)
    office.choose("Roof the new one meets", "Concrete tile")
    office.press("Save the site")
    office.follow("Open a job")
    office.choose("Site", "Rita Resident: 8 Tamarind Close, Merrin Vale")
    office.choose("What is built", "Attached flat roof")
    office.type("Name of the job", "Patio over the slab")
    office.choose("Site lead", "Lena Lead")
    office.press("Open the job")
    for label, value in DIMENSIONS.items():
        office.type(label, value)
    office.press("Save the dimensions")
    office.sees("The dimensions are set; the take-off follows.")


def get_it_approved(office: Visitor, paper: Path) -> None:
    """The certificate is lodged and comes back with its paper, council's with conditions."""
    office.follow("Engineer's certificate")
    _step(office, "Lodged")
    _step(office, "Granted", paper=paper)
    office.follow(JOB)
    office.follow("Council approval")
    _step(office, "Lodged")
    _step(office, "Granted with conditions", conditions="Roof water to the pipe.")
    office.follow(JOB)


def _step(
    office: Visitor, step: str, conditions: str = "", paper: Path | None = None
) -> None:
    office.follow("Record what happened")
    office.tick(step)
    office.type("Conditions, or what they ask for", conditions)
    if paper is not None:
        office.page.get_by_label("The paper itself").set_input_files(paper)
    office.press("Record it")
    office.sees(step)


def order_the_load(office: Visitor, day: str) -> None:
    """Materials from the take-off, and one load of all of them."""
    office.go("/suppliers/add/")
    office.type("Name", "Frames and Sheets")
    office.press("Save")
    office.go("/jobs/1/materials/")
    office.press("Fill from the take-off")
    office.sees(re.compile(r"Added: \d+ lines\."))
    office.follow(JOB)
    office.follow("Order a delivery")
    office.choose("Supplier", "Frames and Sheets")
    office.type("Day it comes", day)
    office.press("Save the delivery")
    office.sees("The delivery is recorded.")


def plan_it(office: Visitor) -> None:
    """A draft worked out in the background, looked at and published."""
    office.follow("Plan")
    office.press("Make a draft")
    office.wait_for("Whom to tell")
    office.sees("Bluegum crew")
    office.press("Publish it")
    office.sees(re.compile("^Published: "))


def issue_the_statement(office: Visitor) -> None:
    """The hazard plan read, reviewed and issued."""
    office.go("/jobs/1/")
    office.follow("Work on the hazard plan")
    office.follow("Review this plan")
    office.tick(re.compile("^I have read the whole plan"))
    office.press("Review this plan")
    office.follow("Issue it")
    office.tick(re.compile("^The people who do the work were asked"))
    office.press("Issue it")
    office.sees("Version 1 is issued. Next: everybody signs on.")


TICKETS = (
    "Construction induction card",
    "Working at heights training",
    "First aid",
    "Crystalline silica training",
    "Asbestos awareness training",
    "Plumbing or roof plumbing licence",
)
SITE = {
    "Address": "8 Tamarind Close",
    "Suburb": "Merrin Vale",
    "Eave height, m": "2.4",
    "Year the house was built": "1994",
    "Slope of slab or ground": "1",
    "Carry from truck to work": "12",
    "Distance to the nearest boundary": "3",
    "Drive from the yard, minutes": "20",
}
KNOWN = {
    "Fascia is metal": "Yes",
    "Overhead power line near the work": "No",
    "Buried services located": "Yes",
}
DIMENSIONS = {
    "length along the house": "6",
    "projection out from the house": "3.6",
    "roof pitch": "3",
    "clear height": "2.4",
}


def make_the_pdf(office: Visitor) -> bytes:
    """Made in the background; what a click on it saves."""
    office.press("Make the PDF")
    office.wait_for("The PDF is ready.")
    link = office.page.get_by_role("link", name="Look at it")
    answer = office.page.request.get(office.site + (link.get_attribute("href") or ""))
    assert answer.headers["content-type"] == "application/pdf"
    return answer.body()


def make_a_calendar(office: Visitor) -> str:
    """A secret link to the crew's calendar: its address."""
    office.go("/calendars/")
    office.choose("Whose calendar", "Bluegum crew")
    office.press("Make a link")
    address = office.page.get_by_label("Address of the calendar of Bluegum crew")
    return address.input_value()
