"""What the office and the owner see of it, and what a browser without scripts shows."""

import re

from tests.browser.visitor import Visitor

# Key pages of each person, as far as one person may open them.
PLAIN = (
    "/",
    "/jobs/",
    "/jobs/1/",
    "/jobs/1/dimensions/",
    "/jobs/1/plan/",
    "/statements/1/",
    "/plan/",
    "/deliveries/",
    "/approvals/",
    "/calendars/",
)


def see_the_no_go(office: Visitor) -> None:
    """On the first page, with the lead's own words."""
    office.go("/")
    office.sees("No go today")
    office.sees(re.compile("Gusts over the limit"))


def look_at_compliance(owner: Visitor) -> None:
    """The job's obligations, down to the record behind one of them."""
    owner.go("/")
    owner.sees("Nothing in 90 days")
    owner.follow("Compliance")
    row = owner.page.get_by_role("row").filter(has_text="1001")
    owner.follow(re.compile("."), within=row.get_by_role("cell").nth(1))
    owner.go("/jobs/1/ledger/")
    owner.sees("Carl Crew")
    owner.follow("Ledger")
    owner.sees("Statement issued")


def work_without_scripts(office: Visitor) -> None:
    """Every key page is whole, and a form is taken."""
    for path in PLAIN:
        office.go(path)
        assert office.page.get_by_role("heading", level=1).count() == 1, path
    office.go("/jobs/1/edit/")
    office.type("Promised by", "2026-08-14")
    office.press("Save the job")
    office.sees("Fri 14 Aug 2026")
