"""A job with a plan, a crew booked on it, and a statement, made by the real services."""

import html
import re
from datetime import UTC, date, datetime
from uuid import uuid4

import pytest
import time_machine
from django.db import transaction
from django.urls import reverse

from jobs.domain.approvals import Step
from jobs.domain.dimensions import Dimensions
from jobs.domain.roles import Role
from jobs.library import ticket_kinds
from jobs.models import Site
from jobs.queries import the_firm
from jobs.services.approvals import record_step, set_needed
from jobs.services.clients import add_client, add_site
from jobs.services.jobs import open_job, set_dimensions
from jobs.services.library import load_shipped
from jobs.services.people import add_person, add_ticket
from safety.models import DailyCheck
from safety.queries.days_work import days_work
from safety.queries.plans import draft
from safety.queries.site_day import questions_about
from safety.queries.statements import issued_at
from safety.services.checks import Answered, Weather, make_check
from safety.services.sign_on import sign_on
from safety.services.statements import issue_statement, review_statement
from scheduling.domain.calendar import Half, Slot
from scheduling.services.booking_rows import Place, put_on_plan
from scheduling.services.crews import add_crew, join_crew
from scheduling.services.slots import settle_working_days
from scheduling.services.visits import sync_visits

MONDAY = date(2026, 8, 3)
BEFORE = datetime(2026, 7, 30, 1, 0, tzinfo=UTC)  # Thursday 30 July 2026, 11 am
FLAT = Dimensions(length_m=6.0, projection_m=3.6, pitch_deg=3.0, clear_height_m=2.4)


@pytest.fixture
def before():
    """Some days before the work: when things are made ready."""
    return BEFORE


@pytest.fixture
def morning(now):
    """The clock stands still on the Monday that most tests happen on."""
    with time_machine.travel(now, tick=False):
        yield now


@pytest.fixture
def page(client):
    """Open a page as somebody, or send something to it."""

    def ask(person, name, *args, data=None, query=""):
        client.force_login(person)
        url = reverse(name, args=args) + query
        return client.get(url) if data is None else client.post(url, data)

    return ask


def text_of(response):
    """The words of a page, without its markup."""
    plain = re.sub(r"<(script|style).*?</\1>|<[^>]+>", " ", response.text, flags=re.S)
    return " ".join(html.unescape(plain).split())


@pytest.fixture
def library(firm):
    """The shipped methods and hazards."""
    load_shipped()


@pytest.fixture
def kit(oscar, before):
    """Kit is a crew member without an email, who signs on Sal's phone."""
    return add_person(
        name="Kit Crew", email=None, roles=[Role.CREW], actor=oscar, at=before
    )


@pytest.fixture
def blue(oscar, sal, cam, kit, before):
    """The blue crew: Sal, who leads it and holds every ticket, Cam and Kit."""
    for kind in ticket_kinds():
        add_ticket(person=sal, kind=kind, actor=oscar, at=before)
    crew = add_crew(values={"name": "Blue", "lead": sal}, actor=oscar, at=before)
    for person in (sal, cam, kit):
        join_crew(
            crew=crew, person=person, from_on=before.date(), actor=oscar, at=before
        )
    return crew


@pytest.fixture
def site(oscar, before) -> Site:
    """A tiled house with a slab behind it."""
    client = add_client(values={"name": "Rita Resident"}, actor=oscar, at=before)
    values = {
        "address": "1 Short Street",
        "suburb": "Testfield",
        "existing_eave_height_m": 2.4,
        "building_year": 1994,
        "overhead_line": False,
        "buried_services_known": True,
        "slab_slope_pct": 1.0,
        "carry_distance_m": 15.0,
        "neighbour_distance_m": 3.0,
        "fascia_is_metal": True,
        "drive_minutes": 20,
    }
    return add_site(client=client, values=values, actor=oscar, at=before)


@pytest.fixture
def make_job(library, site, oscar, sal, before):
    """Open one more approved job at the site, with dimensions, led by Sal."""

    def make(
        title="Patio", *, method="attached_flat", dims=FLAT, approved=True, **values
    ):
        plain = {"title": title, "client": site.client, "site": site, "site_lead": sal}
        job = open_job(values=plain | values, method_key=method, actor=oscar, at=before)
        if dims is not None:
            set_dimensions(
                job=job, version=None, dimensions=dims, actor=oscar, at=before
            )
        if approved:
            approve(job, oscar, before)
        return job

    return make


def approve(job, actor, at):
    """The engineer's certificate granted, council not needed."""
    for approval in job.approvals.select_related("kind"):
        if approval.kind.key == "engineer":
            record_step(
                approval=approval,
                step=Step.GRANTED,
                happened_on=at.date(),
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
    """A job ready to be planned for safety."""
    return make_job()


@pytest.fixture
def book(oscar, before):
    """Put the first visit of a job on the plan."""

    def put(job, crew, first=MONDAY, last=MONDAY):
        with transaction.atomic():
            visit = sync_visits(job=job, actor=oscar, at=before)[0]
            span = (Slot(first, Half.AM), Slot(last, Half.PM))
            place = Place(crew.pk, *span, pinned=False)
            put_on_plan(visit, place, actor=oscar, at=before)
            settle_working_days(at=before)
        return visit

    return put


@pytest.fixture
def booked(job, blue, book):
    """The job with the blue crew booked on Monday."""
    book(job, blue)
    return job


def plan_now(job, at):
    """The plan as it is at that moment."""
    found = draft(job, at, the_firm())
    assert found is not None
    return found


def review(job, actor, at, note=""):
    """Review the plan as it is."""
    seen = plan_now(job, at)
    return review_statement(
        job=job, seen_digest=seen.digest, note=note, actor=actor, at=at
    )


def issue(job, actor, at):
    """Review and issue the plan as it is."""
    return issue_statement(statement=review(job, actor, at), actor=actor, at=at)


@pytest.fixture
def issued(booked, oscar, before):
    """The statement of the booked job, in force."""
    return issue(booked, oscar, before)


def sign(statement, person, at, actor=None, **values):
    """Sign on as oneself, or on the phone of ``actor``."""
    plain = {"typed_name": person.name, "device_at": None, "client_uid": uuid4()}
    return sign_on(
        statement=statement,
        person=person,
        actor=actor or person,
        at=at,
        **(plain | values),
    )


@pytest.fixture
def signed(issued, sal, cam, kit, before):
    """The statement with the whole crew signed on."""
    sign(issued, sal, before)
    sign(issued, cam, before)
    sign(issued, kit, before, actor=sal)
    return issued


def answers(job, at, **changed):
    """Yes to everything, but for what is changed by key."""
    statement = issued_at([job], at).get(job.pk)
    asked = questions_about(statement, days_work(job, MONDAY, at).today)
    return {q.key: Answered("yes") for q in asked} | changed


def check(job, actor, at, *, here=(), outcome=DailyCheck.Outcome.GO, **values):
    """Make today's check."""
    plain = {
        "answers": answers(job, at),
        "weather": Weather(),
        "note": "",
        "device_at": None,
        "client_uid": uuid4(),
    }
    return make_check(
        job=job, outcome=outcome, here=here, actor=actor, at=at, **(plain | values)
    )
