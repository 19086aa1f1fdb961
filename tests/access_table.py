"""Who may open which page, and who may send it: one row for every address there is.

The columns are always nobody, the office, the owner, the job's site lead, another site
lead, a crew member booked on the job, one who is not, and somebody without a role.
200 is "may", 403 "sees it and may not", 404 "may not know that it is there", 405 "that
page is not made for it".
"""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import date
from typing import Any

from django.core.files.uploadedfile import SimpleUploadedFile
from django.urls import reverse

from safety.domain.library_bundle import bundled
from safety.queries.library import firm_library
from scheduling.services.feed_links import token_of
from tests.people import NOW
from tests.world import World, answered, paper

COLUMNS = ("nobody", "office", "owner", "lead", "other lead", "booked", "crew", "guest")
Who = tuple[int | str, ...]

LOG_IN = "log in"  # sent to the log-in page
DOOR = "door"  # sent to the libraries' own door, which opens for the office only

EVERYBODY: Who = (LOG_IN, *[200] * 7)
NEVER: Who = (LOG_IN, *[405] * 7)
OFFICE: Who = (LOG_IN, 200, *[403] * 6)
OWNER: Who = (LOG_IN, 403, 200, *[403] * 5)
OFFICE_OWNER: Who = (LOG_IN, 200, 200, *[403] * 5)
OFFICE_LEADS: Who = (LOG_IN, 200, 403, 200, 200, 403, 403, 403)

# Records of the job that Sal leads and Cam is booked on.
JOB: Who = (LOG_IN, 200, 200, 200, 404, 200, 404, 404)
JOB_OFFICE: Who = (LOG_IN, 200, 403, 403, 404, 403, 404, 404)
JOB_OFFICE_LEAD: Who = (LOG_IN, 200, 403, 200, 404, 403, 404, 404)
JOB_NOT_CREW: Who = (LOG_IN, 200, 200, 200, 404, 403, 404, 404)
JOB_SCHEDULE: Who = (LOG_IN, 200, 200, 403, 404, 403, 404, 404)
JOB_LEAD: Who = (LOG_IN, 403, 403, 200, 404, 403, 404, 404)
JOB_SIGNERS: Who = (LOG_IN, 403, 403, 200, 404, 200, 404, 404)
# The job that Lou leads and Kim is booked on.
OTHER_JOB_OFFICE: Who = (LOG_IN, 200, 403, 404, 403, 404, 403, 404)
# Records of a job that Sal leads and nobody is booked on.
UNBOOKED: Who = (LOG_IN, 200, 200, 200, 404, 404, 404, 404)
UNBOOKED_OFFICE: Who = (LOG_IN, 200, 403, 403, 404, 404, 404, 404)
# What only those know of who see all jobs.
CLIENT: Who = (LOG_IN, 200, 200, 404, 404, 404, 404, 404)
CLIENT_OFFICE: Who = (LOG_IN, 200, 403, 404, 404, 404, 404, 404)
OFFICE_KNOWS: Who = (LOG_IN, 200, 404, 404, 404, 404, 404, 404)
# Cam's own records.
SELF: Who = (LOG_IN, 200, 200, 404, 404, 200, 404, 404)
SELF_KEPT: Who = (LOG_IN, 200, 200, 404, 404, 403, 404, 404)
SELF_OWNER: Who = (LOG_IN, 403, 200, 404, 404, 403, 404, 404)
# Sal's crew, which Cam is in.
CREW: Who = (LOG_IN, 200, 200, 200, 404, 200, 404, 404)
CREW_OFFICE: Who = (LOG_IN, 200, 403, 403, 404, 403, 404, 404)
# The library tables, which the office keeps.
TABLES: Who = (LOG_IN, 200, *[DOOR] * 6)
TABLES_CLOSED: Who = (LOG_IN, 403, *[DOOR] * 6)
DESK: Who = (DOOR, *TABLES[1:])  # pages of no table in particular


def sent(who: Who, code: int = 302) -> Who:
    """The same people, whose form is taken: they are led on to another page."""
    return tuple(code if answer == 200 else answer for answer in who)


@dataclass(frozen=True, slots=True)
class Row:
    """One address: whose it is, what it is about, and a form that would be taken.

    ``data`` is what is typed into the form as the page shows it.
    """

    get: Who
    post: Who = NEVER
    about: Callable[[World], Any] | None = None
    data: Callable[[World], Mapping[str, Any]] = lambda w: {}
    query: Callable[[World], Mapping[str, Any]] = lambda w: {}

    def url(self, name: str, w: World) -> str:
        """The address; an address without a name is looked up as it is written."""
        about = self.about(w) if self.about else ()
        args = about if isinstance(about, tuple) else (getattr(about, "pk", about),)
        if "/" in name:
            return "/" + name.replace("<path:object_id>", str(args[0] if args else ""))
        query = self.query(w)
        return reverse(name, args=args, query=query or None)


def form(who: Who, about: Any = None, **more: Any) -> Row:
    """A page with a form: who may open it may send it."""
    return Row(who, sent(who), about, **more)


def button(who: Who, about: Any = None, **more: Any) -> Row:
    """A button of another page; it has no page of its own."""
    return Row(NEVER, sent(who), about, **more)


def always(who: Who, about: Any = None) -> Row:
    """A page of the library tables; it answers whatever way it is asked."""
    return Row(who, who, about)


def typed(**values: Any) -> Callable[[World], Mapping[str, Any]]:
    """What is typed, when it is the same in every firm."""
    return lambda w: values


def _line(w: World) -> Mapping[str, Any]:
    return {"line": w.line.key}


def _control(w: World) -> Mapping[str, Any]:
    return {"line": w.line.key, "control": w.line.controls[0].key}


def _text(w: World) -> Any:
    return w.method_text


def _kind(w: World) -> Any:
    return w.own_kind


def _ladder(w: World) -> Any:
    return "fall_from_ladder"


def _steps(w: World) -> Any:
    return "fall_from_ladder", "ladder_steps_only"


def _library(w: World) -> Mapping[str, Any]:
    text = bundled(firm_library().texts)
    return {"file": SimpleUploadedFile("ours.yaml", text.encode())}


WHY = {"reason": "The test says so."}
SLIP = {"slip": "other", **WHY}
DAY, LATER = date(2026, 8, 10), date(2026, 8, 11)
PUBLIC = {
    "jobs:set_up": Row((LOG_IN,) * 8, (LOG_IN,) * 8),  # there is a firm already
    "jobs:log_in": Row(
        (200, *[302] * 7),
        (422, *[302] * 7),
        data=typed(username="gus@testfield.example", password="not-the-right-one"),
    ),
    "jobs:password_reset": Row(
        (200,) * 8, (302,) * 8, data=typed(email="gus@testfield.example")
    ),
    "jobs:password_reset_done": Row((200,) * 8, (405,) * 8),
    "jobs:password_reset_confirm": Row(
        (200,) * 8, (200,) * 8, lambda w: ("MQ", "no-such-link")
    ),
    "jobs:password_reset_complete": Row((200,) * 8, (405,) * 8),
    "scheduling:calendar_feed": Row((200,) * 8, (405,) * 8, lambda w: token_of(w.link)),
}
ACCOUNTS = {
    "home": Row(EVERYBODY),
    "jobs:log_out": Row(NEVER, (LOG_IN,) * 8),  # out, and back at the log-in page
    "jobs:password_change": form(
        EVERYBODY,
        data=typed(
            old_password="sunny-day-42",
            new_password1="rain-gutter-77",
            new_password2="rain-gutter-77",
        ),
    ),
    "jobs:password_change_done": Row(EVERYBODY),
    "jobs:me": Row(EVERYBODY),
    "jobs:firm_edit": form(OWNER),
    "jobs:firm_ledger": Row(OWNER),
}
PEOPLE = {
    "jobs:person_list": Row(OFFICE_OWNER),
    "jobs:person_add": form(OFFICE_OWNER, data=typed(name="Ned New")),
    "jobs:person_detail": Row(SELF, about=lambda w: w.cam),
    "jobs:person_edit": form(SELF_KEPT, lambda w: w.cam),
    "jobs:person_roles": form(SELF_OWNER, lambda w: w.cam),
    "jobs:pin_hand_out": Row(SELF_KEPT, SELF_KEPT, lambda w: w.cam),
    "jobs:own_pin": form(
        (LOG_IN, 403, 403, 200, 200, 200, 200, 403),
        data=typed(pin="193755", again="193755"),
    ),
    "jobs:person_invite": button(SELF_KEPT, lambda w: w.cam),
    "jobs:ticket_add": form(
        SELF_KEPT,
        lambda w: w.cam,
        data=typed(kind="dogging_licence", issued_on=date(2024, 5, 1)),
    ),
    "jobs:ticket_withdraw": form(SELF_KEPT, lambda w: w.ticket),
}
CLIENTS = {
    "jobs:client_list": Row(OFFICE_OWNER),
    "jobs:client_add": form(OFFICE, data=typed(name="Nora New")),
    "jobs:client_detail": Row(CLIENT, about=lambda w: w.client),
    "jobs:client_edit": form(CLIENT_OFFICE, lambda w: w.client),
    "jobs:site_add": form(
        CLIENT_OFFICE,
        lambda w: w.client,
        data=typed(
            address="2 Long Street", suburb="Testfield", existing_roof="concrete_tile"
        ),
    ),
    "jobs:site_edit": form(CLIENT_OFFICE, lambda w: w.site),
}
JOBS = {
    "jobs:job_list": Row(EVERYBODY),
    "jobs:job_export": Row(EVERYBODY, about=lambda w: "csv"),
    "jobs:job_add": form(
        OFFICE,
        data=lambda w: {
            "site": w.site.pk,
            "title": "One more",
            "method": "attached_flat",
        },
    ),
    "jobs:job_import": Row(
        OFFICE, sent(OFFICE, 422), data=lambda w: {"file": paper("jobs.csv")}
    ),
    "jobs:job_import_template": Row(OFFICE, about=lambda w: "csv"),
    "jobs:job_detail": Row(JOB, about=lambda w: w.job),
    "jobs:job_edit": form(JOB_OFFICE, lambda w: w.job),
    "jobs:job_close": form(
        JOB_OFFICE, lambda w: w.job, data=typed(how="called_off", note="")
    ),
    "jobs:job_reopen": form(UNBOOKED_OFFICE, lambda w: w.closed_job, data=typed(**WHY)),
    "jobs:job_ledger": Row(JOB_NOT_CREW, about=lambda w: w.job),
    "jobs:job_dimensions": form(JOB_OFFICE, lambda w: w.job),
    "jobs:job_dimensions_preview": Row(NEVER, JOB_OFFICE, lambda w: w.job),
    "jobs:document_add": form(
        JOB_OFFICE_LEAD,
        lambda w: w.job,
        data=lambda w: {"title": "One more", "file": paper()},
    ),
    "jobs:document_file": Row(JOB, about=lambda w: w.document),
}
SEQUENCE = {
    "jobs:sequence_edit": Row(JOB_OFFICE, about=lambda w: w.job),
    "jobs:task_add": form(
        JOB_OFFICE,
        lambda w: w.job,
        data=typed(name="Tidy up", kind="touch_up", minutes_per_unit=30),
    ),
    "jobs:task_edit": form(JOB_OFFICE, lambda w: w.task),
    "jobs:task_links": form(
        JOB_OFFICE,
        lambda w: w.task,
        data=lambda w: {
            "version": w.task.version,
            "links-TOTAL_FORMS": 0,
            "links-INITIAL_FORMS": 0,
        },
    ),
    "jobs:task_remove": form(JOB_OFFICE, lambda w: w.last_task),
    "jobs:task_move": button(JOB_OFFICE, lambda w: (w.task.pk, 5)),
    "jobs:job_hours": form(JOB_OFFICE_LEAD, lambda w: w.job),
    "jobs:rate_list": Row(OFFICE_OWNER),
    "jobs:rate_decide": button(OFFICE),
}
APPROVALS = {
    "jobs:approval_list": Row(OFFICE_OWNER),
    "jobs:approval_kind_add": form(
        OFFICE, data=typed(name="Neighbour", given_by="Neighbour", usual_days=5)
    ),
    "jobs:approval_detail": Row(UNBOOKED, about=lambda w: w.approval),
    "jobs:approval_step": form(
        UNBOOKED_OFFICE, lambda w: w.approval, data=typed(step="granted")
    ),
    "jobs:approval_needed": form(UNBOOKED_OFFICE, lambda w: w.approval),
    "jobs:approval_expected": form(
        UNBOOKED_OFFICE, lambda w: w.approval, data=typed(expected_on=DAY)
    ),
    "jobs:approval_add": form(
        JOB_OFFICE, lambda w: w.job, data=lambda w: {"kind": w.own_kind.pk}
    ),
}
MATERIALS = {
    "jobs:bom": Row(JOB_OFFICE, about=lambda w: w.job),
    "jobs:bom_compare": Row(JOB_NOT_CREW, about=lambda w: w.job),
    "jobs:bom_export": Row(JOB_NOT_CREW, about=lambda w: (w.job.pk, "csv")),
    "jobs:bom_fill": button(JOB_OFFICE, lambda w: w.job),
    "jobs:bom_import": Row(
        JOB_OFFICE,
        sent(JOB_OFFICE, 422),
        lambda w: w.job,
        data=lambda w: {"file": paper("bom.csv")},
    ),
    "jobs:bom_import_template": Row(OFFICE, about=lambda w: "xlsx"),
    "jobs:bom_line_add": form(
        JOB_OFFICE, lambda w: w.job, data=typed(description="Washers", quantity=2)
    ),
    "jobs:bom_line_edit": form(JOB_OFFICE, lambda w: w.bom_line),
    "jobs:bom_line_remove": form(JOB_OFFICE, lambda w: w.bom_line),
}
RUNS = {
    "jobs:run_detail": Row(OFFICE_KNOWS, about=lambda w: w.run),
    "jobs:run_progress": Row(OFFICE_KNOWS, about=lambda w: w.run),
    "jobs:run_stop": button(OFFICE_KNOWS, lambda w: w.run),
}
PLAN = {
    "scheduling:plan": Row(OFFICE_OWNER),
    "scheduling:plan_unfit": Row(OFFICE_OWNER),
    "scheduling:forecast_list": Row(OFFICE_OWNER),
    "scheduling:invitation_wish": button(EVERYBODY),
    "scheduling:plan_choice_edit": form(OFFICE_OWNER, data=typed(leaning="calm")),
    "scheduling:plant_list": Row(OFFICE_OWNER),
    "scheduling:plant_add": form(
        OFFICE, data=typed(tool="ladder", name="Ladders", count=2)
    ),
    "scheduling:plant_edit": form(OFFICE, lambda w: w.plant),
    "scheduling:plant_out": form(
        OFFICE, lambda w: w.plant, data=typed(from_on=DAY, to_on=LATER, count=1, **WHY)
    ),
    "scheduling:plant_back": form(OFFICE, lambda w: w.plant_out),
    "scheduling:draft_ask": button(OFFICE),
    "scheduling:draft_detail": Row(OFFICE_OWNER, about=lambda w: w.draft),
    "scheduling:draft_publish": button(OFFICE, lambda w: w.draft),
    "scheduling:draft_discard": button(OFFICE, lambda w: w.draft),
    "scheduling:booking_detail": Row(JOB, about=lambda w: w.booking),
    "scheduling:booking_pin": button(JOB_OFFICE, lambda w: w.booking),
    "scheduling:booking_off": form(JOB_OFFICE, lambda w: w.booking, data=typed(**WHY)),
    "scheduling:visit_book": form(
        UNBOOKED_OFFICE,
        lambda w: w.free_visit,
        data=lambda w: {"crew": w.crew.pk, "start_on": DAY, "accept": "on"},
    ),
    "scheduling:visit_move": Row(JOB_OFFICE, about=lambda w: w.visit),
    "scheduling:job_explained": Row(JOB_SCHEDULE, about=lambda w: w.job),
    "scheduling:visits_cut": button(JOB_OFFICE, lambda w: w.job),
}
CREWS = {
    "scheduling:crew_list": Row(EVERYBODY),
    "scheduling:crew_add": form(OFFICE, data=typed(name="Green")),
    "scheduling:crew_detail": Row(CREW, about=lambda w: w.crew),
    "scheduling:crew_edit": form(CREW_OFFICE, lambda w: w.crew),
    "scheduling:crew_join": form(
        CREW_OFFICE, lambda w: w.crew, data=lambda w: {"person": w.kim.pk}
    ),
    "scheduling:crew_leave": form(
        CREW_OFFICE, lambda w: w.place_of_cam, data=typed(to_on=DAY)
    ),
    "scheduling:absence_list": Row(OFFICE_OWNER),
    "scheduling:absence_add": form(
        OFFICE,
        data=lambda w: {"person": w.cam.pk, "from_on": DAY, "to_on": LATER, **WHY},
    ),
    "scheduling:absence_detail": Row(OFFICE_OWNER, sent(OFFICE), lambda w: w.absence),
    "scheduling:closure_add": form(OFFICE, data=typed(from_on=DAY, to_on=LATER, **WHY)),
    "scheduling:closure_remove": form(OFFICE, lambda w: w.closure),
    "scheduling:lostday_add": Row(
        OFFICE_LEADS,
        (LOG_IN, 302, 403, 302, 422, 403, 403, 403),  # Lou may not choose Sal's job
        data=lambda w: {"job": w.job.pk, "day": DAY, **WHY},
    ),
    "scheduling:lostday_detail": Row(OFFICE_OWNER, sent(OFFICE), lambda w: w.lost_day),
}
DELIVERIES = {
    "scheduling:delivery_list": Row(OFFICE_LEADS),
    "scheduling:delivery_detail": Row(JOB, about=lambda w: w.delivery),
    "scheduling:delivery_add": form(
        JOB_OFFICE,
        lambda w: w.job,
        data=lambda w: {"supplier": w.supplier.pk, f"line_{w.bom_line.pk}": 1},
    ),
    "scheduling:delivery_edit": form(JOB_OFFICE, lambda w: w.delivery),
    "scheduling:delivery_cancel": form(
        JOB_OFFICE, lambda w: w.delivery, data=typed(**WHY)
    ),
    "scheduling:delivery_receive": form(
        JOB_OFFICE_LEAD,
        lambda w: w.delivery,
        data=lambda w: {f"came_{line.pk}": "all" for line in w.delivery.lines.all()},
    ),
    "scheduling:supplier_list": Row(OFFICE),
    "scheduling:supplier_add": form(OFFICE, data=typed(name="Gutters")),
    "scheduling:supplier_edit": form(OFFICE, lambda w: w.supplier),
}
CALENDARS = {
    "scheduling:link_list": Row(EVERYBODY),
    "scheduling:link_make": button(
        CREW_OFFICE, data=lambda w: {"subject": f"crew-{w.crew.pk}"}
    ),
    "scheduling:link_revoke": form(OFFICE_KNOWS, lambda w: w.link),
}
HAZARDS = {
    "safety:plan_detail": Row(JOB, about=lambda w: w.job),
    "safety:plan_what_if": Row(JOB, about=lambda w: w.job),
    "safety:plan_line": Row(JOB_OFFICE, about=lambda w: w.job, query=_line),
    "safety:plan_add": form(
        JOB_OFFICE,
        lambda w: w.job,
        data=typed(
            name="Bees", harm="A sting.", text="Keep off.", check="Looked.", **WHY
        ),
    ),
    "safety:plan_edit": form(
        JOB_OFFICE,
        lambda w: (w.job.pk, "control"),
        data=typed(**WHY),
        query=_control,
    ),
    "safety:plan_edit_undo": form(OFFICE, lambda w: w.plan_edit),
    "safety:hazard_list": Row(OFFICE),
    "safety:hazard_add": form(
        OFFICE,
        data=typed(
            name="Bees",
            harm="A sting.",
            why="Flowers.",
            kinds="set_out",
            likelihood=3,
            consequence=3,
            **{
                "control-text": "Keep off.",
                "control-level": "isolate",
                "control-check": "Looked.",
            },
        ),
    ),
    "safety:own_tool_list": Row(OFFICE),
    "safety:own_tool_edit": form(OFFICE, lambda w: "drop_saw"),
    "safety:risk_method": form(OWNER),
    "safety:risk_matrix": form(OWNER),
    "safety:hazard_detail": Row(OFFICE, about=_ladder),
    "safety:hazard_edit": form(OFFICE, _ladder, data=typed(harm="A wrist.")),
    "safety:hazard_switch": form(OFFICE, _ladder, data=typed(**WHY)),
    "safety:control_add": form(
        OFFICE, _ladder, data=typed(text="Hold it.", level="isolate", check="Seen.")
    ),
    "safety:control_edit": form(OFFICE, _steps, data=typed(check="Looked.")),
    "safety:control_drop": form(OFFICE, _steps),
    "safety:library_export": Row(OFFICE),
    "safety:library_import": Row(OFFICE, post=OFFICE, data=_library),
    "safety:library_update": Row(OFFICE, post=OFFICE),
}
STATEMENTS = {
    "safety:statement_review": form(
        OTHER_JOB_OFFICE, lambda w: w.other_job, data=typed(competent="on")
    ),
    "safety:statement_list": Row(JOB, about=lambda w: w.job),
    "safety:statement_detail": Row(JOB, about=lambda w: w.statement),
    "safety:consultation_add": form(
        JOB_OFFICE_LEAD,
        lambda w: w.statement,
        data=typed(who="Cam", said="Two trestles.", came_of_it="Two it is."),
    ),
    "safety:statement_issue": form(
        CLIENT_OFFICE, lambda w: w.reviewed, data=typed(consulted="on")
    ),
    "safety:statement_drop": form(
        CLIENT_OFFICE, lambda w: w.reviewed, data=typed(**WHY)
    ),
    "safety:statement_changes": Row(JOB, about=lambda w: w.statement),
    "safety:statement_pdf_make": button(JOB, lambda w: w.statement),
    "safety:statement_pdf": Row(JOB, about=lambda w: w.statement),
    "safety:sign_on": Row(
        JOB_SIGNERS,
        # Sal may not sign as Cam from Sal's own page.
        (LOG_IN, 403, 403, 422, 404, 302, 404, 404),
        lambda w: w.statement,
        data=typed(signature_name="Cam Crew"),
    ),
    "safety:sign_on_for": form(
        JOB_LEAD,
        lambda w: (w.statement.pk, w.cam.pk),
        data=typed(signature_name="Cam Crew"),
    ),
}
SITE = {
    "safety:today": Row(sent(EVERYBODY)),
    "safety:site_day_detail": Row(JOB, about=lambda w: w.job),
    "safety:site_day": Row(JOB, about=lambda w: (w.job.pk, "2026-08-03")),
    "safety:talk_make": button(JOB, lambda w: (w.job.pk, "2026-08-03")),
    "safety:talk_pdf": Row(sent(JOB), about=lambda w: (w.job.pk, "2026-08-03")),
    "safety:check_add": form(
        JOB_LEAD,
        lambda w: w.job,
        data=lambda w: {
            "outcome": "go",
            "here": [w.sal.pk, w.cam.pk],
            **{f"q:{key}": "yes" for key in answered(w.job, NOW)},
        },
    ),
    "safety:daily_check_detail": Row(JOB, about=lambda w: w.check),
    "safety:work_start": form(
        JOB_LEAD, lambda w: w.job, data=lambda w: {"here": [w.kim.pk]}
    ),
    "safety:stop_work_add": form(
        (LOG_IN, 200, 403, 200, 404, 200, 404, 404),
        lambda w: w.job,
        data=typed(kind="unsafe", what="A trestle has sunk."),
    ),
    "safety:stop_work_detail": Row(
        (LOG_IN, 200, 200, 404, 200, 404, 200, 404), about=lambda w: w.stop
    ),
    "safety:stop_work_release": form(
        (LOG_IN, 200, 200, 404, 403, 404, 403, 404),
        lambda w: w.stop,
        data=typed(found="It stands on sole boards.", statement_says="fits"),
    ),
    "safety:attendance_take_back": form(
        JOB_LEAD, lambda w: w.attendance, data=typed(**SLIP)
    ),
    "safety:task_start": button(JOB_LEAD, lambda w: w.task),
    "safety:task_done": button(JOB_LEAD, lambda w: w.started),
    "safety:task_take_back": form(JOB_LEAD, lambda w: w.started, data=typed(**SLIP)),
    "safety:hold_point_detail": Row(
        JOB, sent(JOB_LEAD), lambda w: w.hold_point, data=lambda w: w.values
    ),
}
COMPLIANCE = {
    "safety:compliance": Row(OWNER),
    "safety:compliance_csv": Row(OWNER),
    "safety:breaches": Row(OWNER),
    "safety:breaches_csv": Row(OWNER),
    "safety:compliance_cell": Row(OWNER, about=lambda w: (w.job.pk, "statement")),
}
LIBRARY_PAGES = {
    "admin:index": always(DESK),
    "admin:app_list": always(DESK, lambda w: "jobs"),
    "admin:login": always((LOG_IN, *[403] * 7)),
    "admin:logout": Row((DOOR, 405, *[302] * 6), (DOOR, LOG_IN, *[302] * 6)),
    "admin:password_change": always(DESK),
    "admin:password_change_done": Row(DESK, (DOOR, 405, *[DOOR] * 6)),
    "admin:autocomplete": Row((DOOR, 403, *[DOOR] * 6), (DOOR, 405, *[DOOR] * 6)),
    "admin:jsi18n": Row(DESK, (DOOR, 405, *[DOOR] * 6)),
    "admin:view_on_site": always((DOOR, 404, *[DOOR] * 6), lambda w: (1, 1)),
    "libraries/(?P<url>.*)$": always((DOOR, 404, *[DOOR] * 6)),
    "admin:jobs_librarytext_changelist": always(TABLES),
    "admin:jobs_librarytext_add": always(TABLES_CLOSED),
    "admin:jobs_librarytext_history": always(TABLES, _text),
    "admin:jobs_librarytext_delete": always(TABLES_CLOSED, _text),
    "admin:jobs_librarytext_change": form(TABLES, _text),
    "libraries/jobs/librarytext/<path:object_id>/": always(sent(TABLES), _text),
    "admin:jobs_approvalkind_changelist": always(TABLES),
    "admin:jobs_approvalkind_add": always(TABLES_CLOSED),
    "admin:jobs_approvalkind_history": always(TABLES, _kind),
    "admin:jobs_approvalkind_delete": always(TABLES_CLOSED, _kind),
    "admin:jobs_approvalkind_change": form(TABLES, _kind),
    "libraries/jobs/approvalkind/<path:object_id>/": always(sent(TABLES), _kind),
}
ROWS: Mapping[str, Row] = {
    **PUBLIC,
    **ACCOUNTS,
    **PEOPLE,
    **CLIENTS,
    **JOBS,
    **SEQUENCE,
    **APPROVALS,
    **MATERIALS,
    **RUNS,
    **PLAN,
    **CREWS,
    **DELIVERIES,
    **CALENDARS,
    **HAZARDS,
    **STATEMENTS,
    **SITE,
    **COMPLIANCE,
    **LIBRARY_PAGES,
}

# The same addresses about other records, or sent with other words.
VARIANTS: Mapping[str, tuple[str, Row]] = {
    "a job somebody else leads": (
        "jobs:job_detail",
        Row((LOG_IN, 200, 200, 404, 200, 404, 200, 404), about=lambda w: w.other_job),
    ),
    "a closed job nobody was booked on": (
        "jobs:job_detail",
        Row(UNBOOKED, about=lambda w: w.closed_job),
    ),
    "a colleague": (
        "jobs:person_detail",
        Row((LOG_IN, 200, 200, *[404] * 5), about=lambda w: w.oscar),
    ),
    "a picture of somebody's ticket": (
        "jobs:document_file",
        Row(SELF, about=lambda w: w.card),
    ),
    "an owner made by the office": (
        "jobs:person_add",
        Row(
            OFFICE_OWNER,
            (LOG_IN, 422, 302, *[403] * 5),
            data=typed(name="Nora New", roles=["owner"]),
        ),
    ),
    "a version in review": (
        "safety:statement_detail",
        Row(CLIENT, about=lambda w: w.reviewed),
    ),
    "a version in review as PDF": (
        "safety:statement_pdf_make",
        button(CLIENT, lambda w: w.reviewed),
    ),
    "a signature of somebody who is not on the job": (
        "safety:sign_on_for",
        always(
            (LOG_IN, 403, 403, 404, 404, 403, 404, 404),
            lambda w: (w.statement.pk, w.kim.pk),
        ),
    ),
    "a day off for all jobs": (
        "scheduling:lostday_add",
        Row(
            OFFICE_LEADS,
            (LOG_IN, 302, 403, 422, 422, 403, 403, 403),
            data=typed(job="", day=DAY, **WHY),
        ),
    ),
    "the calendar of the whole firm": (
        "scheduling:link_make",
        button(OFFICE, data=typed(subject="firm")),
    ),
    "the calendar of a job": (
        "scheduling:link_make",
        button(JOB_OFFICE, data=lambda w: {"subject": f"job-{w.job.pk}"}),
    ),
    "the calendar of a person": (
        "scheduling:link_make",
        button(
            (LOG_IN, 200, 403, 404, 404, 200, 404, 404),
            data=lambda w: {"subject": f"person-{w.cam.pk}"},
        ),
    ),
    "a calendar link that was revoked": (
        "scheduling:calendar_feed",
        Row((404,) * 8, (405,) * 8, lambda w: token_of(w.revoked)),
    ),
    "a calendar link that nobody signed": (
        "scheduling:calendar_feed",
        Row((404,) * 8, (405,) * 8, lambda w: f"{w.link.nonce}.{'x' * 43}"),
    ),
    "a piece of work one asked for oneself": (
        "jobs:run_detail",
        Row((LOG_IN, 200, 404, 404, 404, 200, 404, 404), about=lambda w: w.own_run),
    ),
}
EVERY: Mapping[str, tuple[str, Row]] = {
    **{name: (name, row) for name, row in ROWS.items()},
    **VARIANTS,
}
