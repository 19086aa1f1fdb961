"""The same Monday on site, on phones: the load, sign-on, check, hold point and work."""

import re

from tests.browser.visitor import Visitor

SET_OUT = "Set out posts and square the job"
DAY = "/jobs/1/day/"


def check_the_load_in(lead: Visitor) -> None:
    """All came, and all of it is good."""
    lead.follow("Deliveries")
    lead.follow("Mon 3 Aug 2026, morning")
    lead.follow("Check it in")
    for whole in lead.page.get_by_role("radio", name=re.compile("^(All|Here)")).all():
        whole.check()
    lead.press("Check it in")
    lead.sees("Checked in. All of it is here.")


def sign(somebody: Visitor, name: str) -> None:
    """Write the name on the screen with a finger, and type it."""
    pad = somebody.page.locator("canvas")  # a drawing surface has no name to find it by
    pad.scroll_into_view_if_needed()
    box = pad.bounding_box()
    assert box is not None
    somebody.page.mouse.move(box["x"] + 20, box["y"] + 40)
    somebody.page.mouse.down()
    somebody.page.mouse.move(box["x"] + 120, box["y"] + 20, steps=4)
    somebody.page.mouse.up()
    somebody.type("Type your full name to sign", name)
    somebody.press("Sign on")
    somebody.sees(f"{name} signed on to version 1.")


def sign_on_with_own_login(crew: Visitor) -> None:
    """A crew member on their own phone, from their first page."""
    crew.follow(re.compile("^Read and sign on"))
    sign(crew, "Carl Crew")


def collect_sign_on(lead: Visitor) -> None:
    """The lead signs, and one who has no login signs on the lead's phone."""
    lead.go(DAY)
    lead.follow("Sign on")
    sign(lead, "Lena Lead")
    lead.follow("Sign Kit on")
    lead.sees("Kit Crew signs on your phone. You are the witness: hand the phone over.")
    sign(lead, "Kit Crew")


def say_no_go(lead: Visitor) -> None:
    """Too windy: nobody starts."""
    lead.go(DAY)
    lead.follow(re.compile("check$"))
    lead.tick(re.compile("^No go"))
    lead.type("What is done differently, or why it is no go", "Gusts over the limit.")
    lead.press("Record the check")
    lead.sees("Recorded: No go.")


def say_go(lead: Visitor) -> None:
    """Every question answered with yes: work may start."""
    lead.follow("Do the check again")
    for yes in lead.page.get_by_role("radio", name="Yes", exact=True).all():
        yes.check()
    lead.tick(re.compile("^Go All checked"))
    lead.press("Record the check")
    lead.sees("Recorded: Go.")


def measure(lead: Visitor, second_mm: str) -> None:
    """Two diagonals of the hold point; the page says the difference while typing."""
    lead.type("Diagonal A, millimetres", "6848")
    lead.type("Diagonal B, millimetres", second_mm)
    lead.press("Record it")


def square_it(lead: Visitor) -> None:
    """Out by more than is allowed, then put right."""
    lead.follow("Hold point")
    measure(lead, "6871")
    lead.sees("Not passed. What follows is on hold.")
    measure(lead, "6850")
    lead.sees("Passed. The work that follows may go on.")
    lead.follow("Today on site")


def do_the_work(lead: Visitor) -> None:
    """The first tasks started and done."""
    for name in ("Set up, walk the site, barricade", SET_OUT):
        lead.press(f"Start {name}")
        lead.sees(f"Started: {name}.")
        lead.press(f"Done : {name}")
        lead.sees(f"Done: {name}.")
