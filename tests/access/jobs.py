"""Addresses of jobs, people, clients and their papers."""

from datetime import date

from scheduling.services.feed_links import token_of
from tests.access.words import (
    CLIENT,
    CLIENT_OFFICE,
    DAY,
    EVERYBODY,
    JOB,
    JOB_NOT_CREW,
    JOB_OFFICE,
    JOB_OFFICE_LEAD,
    LOG_IN,
    NEVER,
    OFFICE,
    OFFICE_KNOWS,
    OFFICE_OWNER,
    OWNER,
    SELF,
    SELF_KEPT,
    SELF_OWNER,
    UNBOOKED,
    UNBOOKED_OFFICE,
    WHY,
    Row,
    button,
    form,
    sent,
    typed,
)
from tests.world import paper

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
