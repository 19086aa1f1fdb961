"""Who may open which page, and who may send it: one row for every address there is."""

from collections.abc import Mapping

from scheduling.services.feed_links import token_of
from tests.access.jobs import (
    ACCOUNTS,
    APPROVALS,
    CLIENTS,
    JOBS,
    MATERIALS,
    PEOPLE,
    PUBLIC,
    RUNS,
    SEQUENCE,
)
from tests.access.safety import COMPLIANCE, HAZARDS, SITE, STATEMENTS
from tests.access.scheduling import CALENDARS, CREWS, DELIVERIES, PLAN
from tests.access.words import (
    CLIENT,
    DESK,
    DOOR,
    JOB_OFFICE,
    LOG_IN,
    OFFICE,
    OFFICE_LEADS,
    OFFICE_OWNER,
    SELF,
    TABLES,
    TABLES_CLOSED,
    UNBOOKED,
    WHY,
    Row,
    _kind,
    _text,
    always,
    button,
    form,
    sent,
    typed,
)

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
            data=lambda w: {"job": "", "day": w.booking.start_on, **WHY},
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
