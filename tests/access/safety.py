"""Addresses of hazards, statements, the day on site and compliance."""

from tests.access.words import (
    CLIENT_OFFICE,
    EVERYBODY,
    JOB,
    JOB_LEAD,
    JOB_OFFICE,
    JOB_OFFICE_LEAD,
    JOB_SIGNERS,
    LOG_IN,
    OFFICE,
    OFFICE_OWNER,
    OTHER_JOB_OFFICE,
    OWNER,
    SLIP,
    TOOL,
    TOOL_OFFICE,
    WHY,
    Row,
    _control,
    _ladder,
    _library,
    _line,
    _saw,
    _steps,
    button,
    form,
    sent,
    typed,
)
from tests.people import NOW
from tests.world import answered

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
            kinds="set_out",
            likelihood=3,
            consequence=3,
            **{
                "why-0-says": "Flowers.",
                "control-text": "Keep off.",
                "control-level": "isolate",
                "control-check": "Looked.",
            },
        ),
    ),
    "safety:own_tool_list": Row(OFFICE_OWNER),
    "safety:own_tool_edit": form(OFFICE, lambda w: "drop_saw"),
    "safety:tool_item_add": form(
        OFFICE, data=typed(kind="drop_saw", name="Drop saw 2")
    ),
    "safety:tool_item_detail": Row(TOOL, about=_saw),
    "safety:tool_item_drop": form(TOOL_OFFICE, _saw, data=typed(why="Sold.")),
    "safety:tool_test_add": form(
        TOOL_OFFICE,
        _saw,
        data=typed(tested_on="2026-07-01", tested_by="Ty Tester", passed="yes"),
    ),
    "safety:tool_test_take_back": form(
        OFFICE, lambda w: w.saw_test.pk, data=typed(why="Another saw.")
    ),
    "safety:tool_tests_switch": button(OFFICE, data=typed(off="yes")),
    "safety:risk_method": form(OWNER),
    "safety:risk_matrix": form(OWNER),
    "safety:heat_limit": form(OWNER),
    "safety:hazard_detail": Row(OFFICE, about=_ladder),
    "safety:hazard_edit": form(OFFICE, _ladder, data=typed(harm="A wrist.")),
    "safety:hazard_drop": form(OFFICE, _ladder),
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
