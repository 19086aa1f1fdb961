"""A job of two visits, two crews, and what they need, made by the real services."""

from datetime import date

import pytest

from jobs.domain.approvals import Step
from jobs.domain.dimensions import Dimensions
from jobs.domain.roles import Role
from jobs.library import text_digest
from jobs.models import LibraryText, Site
from jobs.services.approvals import record_step, set_needed
from jobs.services.clients import add_client, add_site
from jobs.services.jobs import open_job, set_dimensions
from jobs.services.library import load_shipped
from jobs.services.materials import add_lines
from jobs.services.people import add_person, add_ticket
from scheduling.services.crews import add_crew, join_crew
from scheduling.services.deliveries import order_delivery
from scheduling.services.suppliers import add_supplier

MONDAY = date(2026, 8, 3)

# Six tasks, two visits: beams are left standing for a day before the sheets go on.
# With two people, 225 minutes a half-day: 4 half-days, then 2.
METHOD = """
key: two_visits
name: A method of two visits, for tests
structure: attached_flat
tasks:
  - {key: set_out, kind: set_out, name: Set out, per: job, minutes_per_unit: 450, crew: [2, 3]}
  - {key: posts, kind: stand_posts, name: Stand posts, per: job, minutes_per_unit: 600, crew: [2, 3], after: [set_out], materials: [post]}
  - {key: beams, kind: lift_beams, name: Lift beams, per: job, minutes_per_unit: 700, crew: [2, 3], after: [posts], materials: [beam], tickets: [dogging_licence]}
  - {key: sheets, kind: lay_sheets, name: Lay sheets, per: job, minutes_per_unit: 500, crew: [2, 3], after: [{task: beams, lag_hours: 24, why: the posts have to set}], materials: [sheet], stops_in_rain: true}
  - {key: gutter, kind: hang_gutter, name: Hang gutter, per: job, minutes_per_unit: 300, crew: [2, 3], after: [sheets], materials: [gutter]}
"""


@pytest.fixture
def library(firm):
    """The shipped library, and one method small enough to count by hand."""
    load_shipped()
    digest = text_digest(METHOD)
    LibraryText.objects.create(
        kind="method", key="two_visits", text=METHOD, digest=digest
    )


@pytest.fixture
def kim(firm, oscar, now):
    """Kim is a crew member with a dogging licence."""
    person = add_person(
        name="Kim Crew",
        email="kim@testfield.example",
        roles=[Role.CREW],
        actor=oscar,
        at=now,
    )
    add_ticket(person=person, kind="dogging_licence", actor=oscar, at=now)
    return person


@pytest.fixture
def ned(firm, oscar, now):
    """Ned is a crew member without an email."""
    return add_person(
        name="Ned Crew", email=None, roles=[Role.CREW], actor=oscar, at=now
    )


@pytest.fixture
def blue(oscar, sal, kim, now):
    """The blue crew: Sal, who leads it, and Kim."""
    crew = add_crew(values={"name": "Blue", "lead": sal}, actor=oscar, at=now)
    for person in (sal, kim):
        join_crew(crew=crew, person=person, from_on=MONDAY, actor=oscar, at=now)
    return crew


@pytest.fixture
def red(oscar, lou, ned, cam, now):
    """The red crew: Lou, Ned and Cam, who holds a dogging licence."""
    add_ticket(person=cam, kind="dogging_licence", actor=oscar, at=now)
    crew = add_crew(values={"name": "Red", "lead": lou}, actor=oscar, at=now)
    for person in (lou, ned, cam):
        join_crew(crew=crew, person=person, from_on=MONDAY, actor=oscar, at=now)
    return crew


@pytest.fixture
def client_row(oscar, now):
    """Clients come before sites."""
    return add_client(values={"name": "Rita Resident"}, actor=oscar, at=now)


@pytest.fixture
def site(client_row, oscar, now) -> Site:
    """Twenty minutes from the yard."""
    values = {"address": "1 Short Street", "suburb": "Testfield", "drive_minutes": 20}
    return add_site(client=client_row, values=values, actor=oscar, at=now)


@pytest.fixture
def make_job(library, client_row, site, oscar, sal, now):
    """Open one more job at the site, with dimensions, led by Sal."""

    def make(title="Patio", *, dimensions=True, approved=True, **values):
        job = open_job(
            values={
                "title": title,
                "client": client_row,
                "site": site,
                "site_lead": sal,
                **values,
            },
            method_key="two_visits",
            actor=oscar,
            at=now,
        )
        if dimensions:
            set_dimensions(
                job=job,
                version=None,
                dimensions=Dimensions(6.0, 3.6, 3.0, 2.4),
                actor=oscar,
                at=now,
            )
        if approved:
            approve(job, oscar, now)
        return job

    return make


def approve(job, actor, at):
    """Both approvals granted, or not needed."""
    for approval in job.approvals.select_related("kind"):
        if approval.kind.key == "engineer":
            day = at.date()
            record_step(
                approval=approval,
                step=Step.GRANTED,
                happened_on=day,
                actor=actor,
                at=at,
            )
        else:
            set_needed(
                approval=approval,
                version=approval.version,
                required=False,
                reason="Exempt by its size",
                actor=actor,
                at=at,
            )


@pytest.fixture
def job(make_job):
    """A job that nothing but material could hold."""
    return make_job()


@pytest.fixture
def bom(job, oscar, now):
    """Posts, beams, sheets and gutter of the job."""
    parts = [("post", 3), ("beam", 2), ("sheet", 12), ("gutter", 1)]
    lines = [
        {"part": part, "description": f"{part}s", "quantity": quantity}
        for part, quantity in parts
    ]
    return {
        line.part: line for line in add_lines(job=job, lines=lines, actor=oscar, at=now)
    }


@pytest.fixture
def supplier(oscar, now):
    """Who brings everything."""
    return add_supplier(values={"name": "Frames and Sheets"}, actor=oscar, at=now)


@pytest.fixture
def delivery(job, bom, supplier, oscar, now):
    """Sheets and gutter, due on Wednesday morning."""
    return order_delivery(
        job=job,
        values={"supplier": supplier, "due_on": date(2026, 8, 5), "due_half": "am"},
        amounts={bom["sheet"].pk: 12, bom["gutter"].pk: 1},
        actor=oscar,
        at=now,
    )
