"""Pages of the safety app."""

from django.urls import path

from safety.views import (
    checks,
    compliance,
    consultation,
    heat_limit,
    hold_points,
    library,
    library_files,
    own_tools,
    plan,
    risk_method,
    sign_on,
    site_day,
    statements,
    stop_work,
    toolbox,
    what_if,
    work,
)

app_name = "safety"
urlpatterns = [
    path("jobs/<int:pk>/plan/", plan.plan_detail, name="plan_detail"),
    path("jobs/<int:pk>/plan/what-if/", what_if.plan_what_if, name="plan_what_if"),
    path("jobs/<int:pk>/plan/line/", plan.plan_line, name="plan_line"),
    path("jobs/<int:pk>/plan/add/", plan.plan_add, name="plan_add"),
    path("jobs/<int:pk>/plan/change/<slug:what>/", plan.plan_edit, name="plan_edit"),
    path("plan-edits/<int:pk>/undo/", plan.plan_edit_undo, name="plan_edit_undo"),
    path(
        "jobs/<int:pk>/plan/review/",
        statements.statement_review,
        name="statement_review",
    ),
    path("jobs/<int:pk>/statements/", statements.statement_list, name="statement_list"),
    path("statements/<int:pk>/", statements.statement_detail, name="statement_detail"),
    path(
        "statements/<int:pk>/issue/", statements.statement_issue, name="statement_issue"
    ),
    path("statements/<int:pk>/drop/", statements.statement_drop, name="statement_drop"),
    path(
        "statements/<int:pk>/changes/",
        statements.statement_changes,
        name="statement_changes",
    ),
    path(
        "statements/<int:pk>/pdf/make/",
        statements.statement_pdf_make,
        name="statement_pdf_make",
    ),
    path("statements/<int:pk>.pdf", statements.statement_pdf, name="statement_pdf"),
    path("statements/<int:pk>/sign/", sign_on.sign_on_own, name="sign_on"),
    path(
        "statements/<int:pk>/sign/<int:person_pk>/",
        sign_on.sign_on_for,
        name="sign_on_for",
    ),
    path("tools/", own_tools.own_tool_list, name="own_tool_list"),
    path("tools/<slug:key>/", own_tools.own_tool_edit, name="own_tool_edit"),
    path("firm/risk/", risk_method.risk_method, name="risk_method"),
    path("firm/heat/", heat_limit.heat_limit, name="heat_limit"),
    path("firm/risk/own/", risk_method.risk_matrix, name="risk_matrix"),
    path("today/", site_day.today, name="today"),
    path("jobs/<int:pk>/day/", site_day.site_day_detail, name="site_day_detail"),
    path("jobs/<int:pk>/day/check/", checks.check_add, name="check_add"),
    path("jobs/<int:pk>/day/start/", work.work_start, name="work_start"),
    path(
        "statements/<int:pk>/consultation/",
        consultation.consultation_add,
        name="consultation_add",
    ),
    path("jobs/<int:pk>/day/stop/", stop_work.stop_work_add, name="stop_work_add"),
    path("stops/<int:pk>/", stop_work.stop_work_detail, name="stop_work_detail"),
    path(
        "stops/<int:pk>/release/",
        stop_work.stop_work_release,
        name="stop_work_release",
    ),
    path("jobs/<int:pk>/day/<str:day>/", site_day.site_day, name="site_day"),
    path("jobs/<int:pk>/day/<str:day>/talk/make/", toolbox.talk_make, name="talk_make"),
    path("jobs/<int:pk>/day/<str:day>/talk.pdf", toolbox.talk_pdf, name="talk_pdf"),
    path(
        "daily-checks/<int:pk>/", checks.daily_check_detail, name="daily_check_detail"
    ),
    path(
        "attendance/<int:pk>/take-back/",
        work.attendance_take_back,
        name="attendance_take_back",
    ),
    path("tasks/<int:pk>/start/", work.task_start, name="task_start"),
    path("tasks/<int:pk>/done/", work.task_done, name="task_done"),
    path("tasks/<int:pk>/take-back/", work.task_take_back, name="task_take_back"),
    path(
        "tasks/<int:pk>/hold-point/",
        hold_points.hold_point_detail,
        name="hold_point_detail",
    ),
    path("hazards/", library.hazard_list, name="hazard_list"),
    path("hazards.yaml", library_files.library_export, name="library_export"),
    path("hazards/add/", library.hazard_add, name="hazard_add"),
    path("hazards/import/", library_files.library_import, name="library_import"),
    path("hazards/update/", library_files.library_update, name="library_update"),
    path("hazards/<slug:key>/", library.hazard_detail, name="hazard_detail"),
    path("hazards/<slug:key>/edit/", library.hazard_edit, name="hazard_edit"),
    path("hazards/<slug:key>/switch/", library.hazard_switch, name="hazard_switch"),
    path("hazards/<slug:key>/controls/add/", library.control_add, name="control_add"),
    path(
        "hazards/<slug:key>/controls/<slug:control>/",
        library.control_edit,
        name="control_edit",
    ),
    path(
        "hazards/<slug:key>/controls/<slug:control>/drop/",
        library.control_drop,
        name="control_drop",
    ),
    path("compliance/", compliance.compliance, name="compliance"),
    path("compliance.csv", compliance.compliance_csv, name="compliance_csv"),
    path("compliance/breaches/", compliance.breaches, name="breaches"),
    path("compliance/breaches.csv", compliance.breaches_csv, name="breaches_csv"),
    path(
        "compliance/<int:pk>/<slug:obligation>/",
        compliance.compliance_cell,
        name="compliance_cell",
    ),
]
