"""A whole small firm with a record of every kind, made by the real services.

Sal leads the job that everything hangs on; Cam is booked on it with Sal's crew. Lou and
Kim are the other crew, booked on the other job. Gus logs in but plays no part.
"""

from datetime import UTC, date, datetime, timedelta
from types import SimpleNamespace
from typing import Any
from uuid import uuid4

from django.core.files.uploadedfile import SimpleUploadedFile
from django.db import transaction

from jobs.domain.approvals import Step
from jobs.domain.dimensions import Dimensions
from jobs.library import ticket_kinds
from jobs.models import Firm, Job, LibraryText, Person, RenderedFile
from jobs.queries import the_firm
from jobs.services.approvals import add_kind, record_step, set_needed
from jobs.services.clients import add_client, add_site
from jobs.services.jobs import close_job, open_job, set_dimensions
from jobs.services.library import load_shipped
from jobs.services.materials import add_lines, fill_from_take_off
from jobs.services.people import add_ticket
from jobs.services.uploads import add_document, take_in
from safety.domain.measuring import kind_of, readings
from safety.domain.overrides import Action
from safety.models import DailyCheck, StopWork
from safety.queries.days_work import days_work
from safety.queries.hold_points import spec_of
from safety.queries.papers import KIND, paper_digest
from safety.queries.plans import draft
from safety.queries.set_out import expected_at
from safety.queries.site_day import questions_about
from safety.queries.statements import issued_at, sign_ons_of
from safety.services.checks import Answered, Weather, make_check
from safety.services.measurements import measure_hold_point
from safety.services.papers import ask_for_paper
from safety.services.plan_edits import edit_plan
from safety.services.sign_on import sign_on
from safety.services.statements import issue_statement, review_statement
from safety.services.stop_work import stop_work
from safety.services.tool_tests import list_tool, record_tool_test
from safety.services.work import finish_task, start_task
from scheduling.domain.calendar import Half, Slot
from scheduling.models import LostDay
from scheduling.services.absences import add_closure, record_absence
from scheduling.services.booking_rows import Place, put_on_plan
from scheduling.services.crews import add_crew, join_crew
from scheduling.services.deliveries import order_delivery
from scheduling.services.feed_links import make_link, revoke_link
from scheduling.services.plant import add_plant, take_plant_out
from scheduling.services.receipts import Counted, check_in
from scheduling.services.slots import settle_working_days
from scheduling.services.suppliers import add_supplier
from scheduling.services.visits import sync_visits
from tests.people import NOW, PEOPLE, hired
from tests.scheduling.plans import draft_of

MONDAY = date(2026, 8, 3)
BEFORE = datetime(2026, 7, 30, 1, 0, tzinfo=UTC)  # the Thursday before, 11 am
FLAT = Dimensions(length_m=6.0, projection_m=3.6, pitch_deg=3.0, clear_height_m=2.4)
SITE = {
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


class World(SimpleNamespace):
    """The people by their first names, and one record of each kind."""


def make_world() -> World:
    """Everything, as it is on Monday morning."""
    Firm.objects.create(pk=1, name="Testfield Patios", pack="au-nsw")
    load_shipped()
    w = World(method_text=LibraryText.objects.get(kind="method", key="attached_flat"))
    for key in PEOPLE:
        setattr(w, key, hired(key))
    _people(w)
    _sites(w)
    _papers(w)
    _loads(w)
    _plan(w)
    _statement(w)
    _day_on_site(w)
    _stopped_work(w)
    _links_and_runs(w)
    return w


def written(actor: Person, at: datetime = BEFORE) -> Any:
    """Who writes a record, and when."""
    return {"actor": actor, "at": at}


def _people(w: World) -> None:
    by = written(w.oscar)
    for kind in ticket_kinds():
        add_ticket(person=w.sal, kind=kind, **by)
    w.card = take_in(upload=paper("card.pdf"), title="Card", job=None, **by)
    w.ticket = add_ticket(person=w.cam, kind="dogging_licence", evidence=w.card, **by)
    w.crew = add_crew(values={"name": "Blue", "lead": w.sal}, **by)
    w.other_crew = add_crew(values={"name": "Red", "lead": w.lou}, **by)
    members = {w.sal: w.crew, w.cam: w.crew, w.lou: w.other_crew, w.kim: w.other_crew}
    for person, crew in members.items():
        place = join_crew(crew=crew, person=person, from_on=BEFORE.date(), **by)
        setattr(w, f"place_of_{person.get_short_name().lower()}", place)
    far: Any = {"from_on": date(2026, 9, 7), "to_on": date(2026, 9, 8)}
    w.absence = record_absence(person=w.kim, reason="Leave", **far, **by)
    w.closure = add_closure(reason="Stocktake", **far, **by)
    trestles = {"tool": "trestles", "name": "Trestles", "count": 2}
    w.plant = add_plant(values=trestles, **by)
    w.saw = list_tool(kind="drop_saw", name="Drop saw 1", **by)
    tested: Any = {"tested_on": date(2026, 7, 1), "tested_by": "Ty Tester"}
    w.saw_test = record_tool_test(item=w.saw, passed=True, **tested, **by)
    w.plant_out = take_plant_out(
        plant=w.plant, count=1, reason="Planks split", **far, **by
    )


def _sites(w: World) -> None:
    by = written(w.oscar)
    w.client = add_client(values={"name": "Rita Resident"}, **by)
    w.site = add_site(client=w.client, values=SITE, **by)
    w.job = open_measured(w, "Patio")
    w.other_job = open_measured(w, "Lou's patio", site_lead=w.lou)
    w.later_job = open_measured(w, "Patio for later")
    w.new_job = open_measured(w, "Not measured yet", dims=None, approved=False)
    w.waiting_job = open_measured(w, "Waiting for council", approved=False)
    w.closed_job = open_measured(w, "Called off", approved=False)
    how = Job.Closed.CALLED_OFF
    close_job(job=w.closed_job, how=how, note="Client moved away.", **by)


def open_measured(w, title, *, dims=FLAT, approved=True, **values):
    """Open one more job at the site, led by Sal unless told otherwise."""
    by = written(w.oscar)
    plain = {"title": title, "client": w.client, "site": w.site, "site_lead": w.sal}
    job = open_job(values=plain | values, method_key="attached_flat", **by)
    if dims is not None:
        set_dimensions(job=job, version=None, dimensions=dims, **by)
    if approved:
        approve(job, w.oscar, BEFORE)
    return job


def approve(job, actor, at):
    """The engineer's certificate granted, everything else not needed."""
    by = written(actor, at)
    for approval in job.approvals.select_related("kind", "job"):
        if approval.kind.key == "engineer":
            day = at.date()
            record_step(approval=approval, step=Step.GRANTED, happened_on=day, **by)
        else:
            why = "Exempt by its size"
            version = approval.version
            set_needed(
                approval=approval, version=version, required=False, reason=why, **by
            )


def paper(name="paper.pdf"):
    """A paper as somebody uploads it."""
    return SimpleUploadedFile(name, b"%PDF-1.7\n%%EOF\n", "application/pdf")


def _papers(w: World) -> None:
    by = written(w.oscar)
    w.approval = w.waiting_job.approvals.get(kind__key="council")
    day = BEFORE.date()
    record_step(approval=w.approval, step=Step.LODGED, happened_on=day, **by)
    other = {"name": "Fire", "given_by": "Fire brigade", "usual_days": 9}
    w.own_kind = add_kind(values=other, **by)
    w.document = add_document(job=w.job, upload=paper(), title="Drawing", **by)


def _loads(w: World) -> None:
    by = written(w.oscar)
    w.supplier = add_supplier(values={"name": "Frames and Sheets"}, **by)
    fill_from_take_off(job=w.job, **by)
    extra = {"description": "Spare screws", "quantity": 1, "unit": "pack", "part": ""}
    (w.bom_line,) = add_lines(job=w.job, lines=[extra], **by)
    came, coming = _order(w, BEFORE.date()), _order(w, date(2026, 8, 5))
    w.delivery = coming
    counted = {line.pk: Counted(good=line.ordered) for line in came.lines.all()}
    w.receipt = check_in(
        delivery=came,
        client_uid=uuid4(),
        device_at=BEFORE,
        counted=counted,
        actor=w.sal,
        at=BEFORE,
    )


def _order(w: World, day):
    lines = w.job.bom_lines.exclude(pk=w.bom_line.pk)
    values = {"supplier": w.supplier, "due_on": day, "due_half": "am"}
    amounts = {line.pk: line.quantity for line in lines}
    return order_delivery(
        job=w.job, values=values, amounts=amounts, actor=w.oscar, at=BEFORE
    )


def book(w: World, job, crew, day, at=BEFORE):
    """Put the first visit of a job on the plan for one whole day."""
    with transaction.atomic():
        visit = sync_visits(job=job, actor=w.oscar, at=at)[0]
        place = Place(crew.pk, Slot(day, Half.AM), Slot(day, Half.PM), pinned=False)
        placed = put_on_plan(visit, place, actor=w.oscar, at=at)
        settle_working_days(at=at)
    return placed.booking


def _plan(w: World) -> None:
    w.booking = book(w, w.job, w.crew, MONDAY)
    w.visit = w.booking.visit
    book(w, w.other_job, w.other_crew, MONDAY)
    w.free_visit = sync_visits(job=w.later_job, actor=w.oscar, at=BEFORE)[0]
    day = date(2026, 7, 29)
    w.lost_day = LostDay.objects.create(
        day=day, job=w.job, reason="Storm", recorded_by=w.sal, recorded_at=BEFORE
    )
    wednesday = date(2026, 8, 5)
    span = (Slot(wednesday, Half.AM), Slot(wednesday, Half.PM))
    places = {(w.later_job.pk, 1): (w.crew, *span)}
    w.draft = draft_of(places, w.oscar, NOW)


def review(job, actor, at):
    """Review the plan of a job as it is."""
    seen = draft(job, at, the_firm())
    assert seen is not None
    return review_statement(
        job=job, seen_digest=seen.digest, note="Read.", actor=actor, at=at
    )


def issue(job, actor, at):
    """Review and issue the plan of a job as it is."""
    return issue_statement(statement=review(job, actor, at), actor=actor, at=at)


def _statement(w: World) -> None:
    plan = draft(w.job, BEFORE, the_firm())
    assert plan is not None
    w.line = plan.plan.lines[0]
    changes = {"name": "A hazard", "harm": "It hurts.", "why": "It is here."}
    w.plan_edit = edit_plan(
        job=w.job,
        does=Action.EDIT,
        reason="Said more plainly.",
        line_key=w.line.key,
        changes=changes,
        actor=w.oscar,
        at=BEFORE,
    )
    w.statement = issue(w.job, w.oscar, BEFORE)
    w.reviewed = review(w.later_job, w.oscar, BEFORE)
    for person in (w.sal, w.cam):
        sign(w.statement, person, BEFORE)
    # As the worker leaves it; laying one out takes seconds and is tested elsewhere.
    RenderedFile.objects.create(
        kind=KIND,
        digest=paper_digest(w.statement, sign_ons_of(w.statement), []),
        file=paper(),
        made_at=BEFORE,
    )


def sign(statement, person, at):
    """Sign on with one's own login."""
    sign_on(
        statement=statement,
        person=person,
        typed_name=person.name,
        actor=person,
        at=at,
        device_at=None,
        client_uid=uuid4(),
    )


def answered(job, at):
    """Yes to every question of today's check."""
    statement = issued_at([job], at).get(job.pk)
    asked = questions_about(statement, days_work(job, MONDAY, at).today)
    return {question.key: Answered("yes") for question in asked}


def check(w: World, job, at):
    """Today's check of a job, with its crew there: go."""
    return make_check(
        job=job,
        outcome=DailyCheck.Outcome.GO,
        answers=answered(job, at),
        weather=Weather(),
        note="",
        here=[w.sal, w.cam],
        actor=w.sal,
        at=at,
        device_at=None,
        client_uid=uuid4(),
    )


def _day_on_site(w: World) -> None:
    at = NOW - timedelta(hours=2)
    by = {**written(w.sal, at), "device_at": None}
    w.check = check(w, w.job, at)
    w.attendance = w.job.attendances.get(person=w.cam)
    tasks = list(w.visit.tasks.select_related("job__site").order_by("position"))
    finish_task(task=start_task(task=tasks[0], **by), **by)
    w.started = start_task(task=tasks[1], **by)
    w.task = tasks[2]
    every = w.job.tasks.select_related("job__site").order_by("position")
    w.hold_point = next(task for task in every if spec_of(task) is not None)
    w.last_task = every.last()
    spec = spec_of(w.hold_point)
    assert spec is not None
    due = expected_at(w.hold_point, spec)
    w.values = {
        reading.name: float(round(due[0].mm))
        for reading in readings(kind_of(spec), due)
    }
    w.measurement = measure_hold_point(
        task=w.hold_point,
        values=w.values,
        looks_right=True,
        note="",
        client_uid=uuid4(),
        **by,
    )


def _stopped_work(w: World) -> None:
    w.stop = stop_work(
        job=w.other_job,
        kind=StopWork.Kind.UNSAFE,
        what="The ground under the trestle gives way.",
        actor=w.lou,
        at=NOW - timedelta(hours=1),
        device_at=None,
        client_uid=uuid4(),
    )


def _links_and_runs(w: World) -> None:
    w.link = make_link(subject=w.crew, actor=w.oscar, at=BEFORE)
    for subject in (w.cam, w.job, None):
        make_link(subject=subject, actor=w.oscar, at=BEFORE)
    w.revoked = make_link(subject=w.crew, actor=w.oscar, at=BEFORE)
    revoke_link(link=w.revoked, actor=w.oscar, at=BEFORE)
    w.run = ask_for_paper(statement=w.statement, actor=w.oscar, at=BEFORE)
    w.own_run = ask_for_paper(statement=w.statement, actor=w.cam, at=BEFORE)
